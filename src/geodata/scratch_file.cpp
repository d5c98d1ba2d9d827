#include "curbshed/geodata/scratch_file.hpp"

#include "curbshed/base/error.hpp"

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <limits>
#include <system_error>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/statvfs.h>
#include <unistd.h>

namespace curbshed::geodata {
namespace {

[[noreturn]] void fail(const std::string& folder, const char* what) {
  const std::string reason = std::error_code(errno, std::generic_category()).message();
  throw base::InputError({folder, "", ""}, fmt::format("{}: {}", what, reason),
                         "a folder on a disk with room for temporary data",
                         "free some space, choose another output folder, or allow more --memory");
}

int unnamed_file(const std::string& folder) {
#ifdef O_TMPFILE
  const int file = ::open(folder.c_str(), O_TMPFILE | O_RDWR | O_CLOEXEC, 0600);
  if (file >= 0) {
    return file;
  }
#endif
  // Not every file system has files without a name: one that loses it at once does as well.
  std::string name = folder + "/.scratch-XXXXXX";
  const int named = ::mkostemp(name.data(), O_CLOEXEC);
  if (named >= 0) {
    ::unlink(name.c_str());
  }
  return named;
}

}  // namespace

ScratchFile::ScratchFile(const std::string& folder) : folder_(folder), file_(unnamed_file(folder)) {
  if (file_ < 0) {
    fail(folder, "temporary data cannot be kept here");
  }
}

ScratchFile::~ScratchFile() { ::close(file_); }

void ScratchFile::write(std::int64_t at, const void* bytes, std::int64_t count) {
  const char* from = static_cast<const char*>(bytes);
  while (count > 0) {
    const ssize_t done = ::pwrite(file_, from, static_cast<std::size_t>(count), at);
    if (done < 0 && errno == EINTR) {
      continue;
    }
    if (done <= 0) {
      fail(folder_, "temporary data cannot be written");
    }
    from += done;
    at += done;
    count -= done;
  }
}

void ScratchFile::read(std::int64_t at, void* bytes, std::int64_t count) {
  char* to = static_cast<char*>(bytes);
  while (count > 0) {
    const ssize_t done = ::pread(file_, to, static_cast<std::size_t>(count), at);
    if (done < 0 && errno == EINTR) {
      continue;
    }
    if (done < 0) {
      fail(folder_, "temporary data cannot be read");
    }
    if (done == 0) {
      std::memset(to, 0, static_cast<std::size_t>(count));
      return;
    }
    to += done;
    at += done;
    count -= done;
  }
}

std::int64_t free_bytes(const std::string& folder) {
  namespace fs = std::filesystem;
  std::error_code failed;
  fs::path path = fs::absolute(folder, failed);
  while (!fs::exists(path, failed) && path.has_relative_path()) {
    path = path.parent_path();
  }
  struct statvfs room {};
  if (::statvfs(path.c_str(), &room) != 0) {
    return std::numeric_limits<std::int64_t>::max();
  }
  return static_cast<std::int64_t>(room.f_bavail) * static_cast<std::int64_t>(room.f_frsize);
}

}  // namespace curbshed::geodata
