// Errors: what the user can mend, and what is our bug.
#pragma once

#include <stdexcept>
#include <string>

namespace curbshed::base {

/// Place in the user's data. Empty parts are left out of the message.
struct Where {
  std::string file = {};     ///< path as the user wrote it
  std::string layer = {};    ///< layer, table part or band
  std::string feature = {};  ///< feature id, key or line
};

/// Something that the user can mend. Thrown by makers, geodata, study and cli; caught only in `main` (exit
/// 1).
class InputError : public std::runtime_error {
 public:
  /// The message reads `<file>, <layer>, <feature>: <what>. Allowed: <allowed>. Do: <next>.`; empty parts are
  /// left out. what: a sentence (no full stop) with the value met and its unit: "−18 in is not usable".
  /// allowed: what is accepted. next: what to do about it.
  InputError(Where where, std::string what, std::string allowed, std::string next);

  const Where& where() const { return where_; }
  const std::string& met() const { return met_; }
  const std::string& allowed() const { return allowed_; }
  const std::string& next() const { return next_; }

  /// The same error, with parts of `where` that were still empty filled in by a caller that knows them.
  InputError located(const Where& outer) const;

 private:
  Where where_;
  std::string met_;
  std::string allowed_;
  std::string next_;
};

/// A broken promise of our own (exit 3).
class BugError : public std::logic_error {
 public:
  using std::logic_error::logic_error;
};

/// Throws BugError when `holds` is false. On in every build; not for per-cell loops.
void ensure(bool holds, const char* promise);

}  // namespace curbshed::base
