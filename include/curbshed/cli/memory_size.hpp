// Sizes of memory as people write them.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace curbshed::cli {

/// "512MB", "1.5 GB", "2GiB": bytes. Powers of 1000, with an i of 1024; letters small or large. Nothing for
/// other texts, for 0 and for more than 2^60 bytes.
std::optional<std::int64_t> parse_memory_size(std::string_view text);

/// "about 1.5 GB", three digits.
std::string memory_words(double bytes);

}  // namespace curbshed::cli
