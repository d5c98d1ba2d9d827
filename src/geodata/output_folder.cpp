#include "curbshed/geodata/output_folder.hpp"

#include "curbshed/base/error.hpp"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <mutex>
#include <system_error>
#include <vector>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

namespace curbshed::geodata {
namespace {

namespace fs = std::filesystem;
using base::InputError;

constexpr const char* kManifest = "manifest.json";
constexpr const char* kPartialMark = ".curbshed-partial";

[[noreturn]] void system_error(const fs::path& path, std::string_view what) {
  throw InputError({path.string(), "", ""}, fmt::format("{}: {}", what, std::strerror(errno)),
                   "a place that you may write to", "check the path, the permissions and the space left");
}

/// An open file that is closed at the end.
class Descriptor {
 public:
  Descriptor(const fs::path& path, int flags) : number_(::open(path.c_str(), flags | O_CLOEXEC, 0666)) {}
  ~Descriptor() {
    if (number_ >= 0) {
      ::close(number_);
    }
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int number() const { return number_; }

 private:
  int number_;
};

void sync_one(const fs::path& path, bool folder) {
  const Descriptor open(path, folder ? O_RDONLY | O_DIRECTORY : O_RDONLY);
  if (open.number() < 0 || ::fsync(open.number()) != 0) {
    system_error(path, "the results could not be written to disk");
  }
}

void sync_tree(const fs::path& folder) {
  for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder)) {
    sync_one(entry.path(), entry.is_directory());
  }
  sync_one(folder, true);
}

bool holds_our_manifest(const fs::path& folder) {
  std::ifstream file(folder / kManifest, std::ios::binary);
  std::string head(200, '\0');
  file.read(head.data(), static_cast<std::streamsize>(head.size()));
  head.resize(static_cast<std::size_t>(file.gcount()));
  return head.find("\"program\": \"curbshed\"") != std::string::npos;
}

bool is_ours(const fs::path& folder) {
  return fs::is_directory(folder) &&
         (fs::is_empty(folder) || fs::exists(folder / kPartialMark) || holds_our_manifest(folder));
}

/// The mark goes last, so that a removal that is cut short is still known as ours.
void remove_ours(const fs::path& folder) {
  std::vector<fs::path> entries;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder)) {
    if (entry.path().filename() != kManifest && entry.path().filename() != kPartialMark) {
      entries.push_back(entry.path());
    }
  }
  for (const fs::path& path : entries) {
    fs::remove_all(path);
  }
  fs::remove_all(folder);
}

fs::path with_ending(const fs::path& folder, const char* ending) {
  return folder.parent_path() / (folder.filename().string() + ending);
}

/// Absolute, links resolved, without a trailing slash.
fs::path resolved(const std::string& folder) {
  if (folder.empty()) {
    throw InputError({}, "the output folder has no name", "a folder", "say --out FOLDER");
  }
  fs::path path = fs::weakly_canonical(fs::absolute(folder));
  if (!path.has_filename()) {
    path = path.parent_path();
  }
  if (!path.has_filename()) {
    throw InputError({folder, "", ""}, "this cannot be an output folder", "a folder of its own",
                     "choose another folder");
  }
  return path;
}

void check_target(const fs::path& target, const OutputRequest& request) {
  const fs::file_status status = fs::status(target);
  if (!fs::exists(status)) {
    return;
  }
  if (!fs::is_directory(status)) {
    throw InputError({request.folder, "", ""}, "the output is no folder",
                     "a new folder, or one of an earlier run", "choose another folder");
  }
  if (fs::is_empty(target)) {
    return;
  }
  if (!holds_our_manifest(target)) {
    throw InputError({request.folder, "", ""},
                     "the output folder holds other things than results of curbshed",
                     "a new folder, or one of an earlier run", "choose another folder; nothing was touched");
  }
  if (!request.overwrite) {
    throw InputError({request.folder, "", ""}, "the output exists", "a new folder, or --overwrite",
                     "choose another folder or add --overwrite");
  }
}

/// One lock a folder. A file whose lock is held by nobody means nothing: the lock goes with its process.
class Lock {
 public:
  Lock(const fs::path& path, const OutputRequest& request) : path_(path) {
    for (;;) {
      file_ = std::make_unique<Descriptor>(path, O_RDWR | O_CREAT);
      if (file_->number() < 0) {
        system_error(path, "the lock of the output folder cannot be made");
      }
      if (::flock(file_->number(), LOCK_EX | LOCK_NB) != 0) {
        throw InputError({request.folder, "", ""}, "another run is writing to this folder",
                         "one run at a time", "wait for it, or choose another folder");
      }
      struct stat held {};
      struct stat named {};
      if (::fstat(file_->number(), &held) == 0 && ::stat(path.c_str(), &named) == 0 &&
          held.st_ino == named.st_ino) {
        return;
      }
      // The holder before us removed the file between our open and our lock: take the new one.
    }
  }
  ~Lock() {
    ::unlink(path_.c_str());  // while the lock is held
  }
  Lock(const Lock&) = delete;
  Lock& operator=(const Lock&) = delete;

 private:
  fs::path path_;
  std::unique_ptr<Descriptor> file_;
};

void remove_stale(const fs::path& path) {
  if (!fs::exists(fs::symlink_status(path))) {
    return;
  }
  if (!is_ours(path)) {
    throw InputError({path.string(), "", ""}, "this is in the way and is not ours",
                     "no such name beside the output", "rename or remove it");
  }
  remove_ours(path);
}

}  // namespace

struct OutputFolder::State {
  explicit State(const OutputRequest& request)
      : target(resolved(request.folder)),
        partial(with_ending(target, ".partial")),
        previous(with_ending(target, ".previous")),
        partial_text(partial.string()) {
    std::error_code failed;
    fs::create_directories(target.parent_path(), failed);
    if (failed) {
      errno = failed.value();
      system_error(target.parent_path(), "the folder above the output cannot be made");
    }
    lock = std::make_unique<Lock>(with_ending(target, ".lock"), request);
    if (!fs::exists(target) && fs::exists(previous) && holds_our_manifest(previous)) {
      fs::rename(previous, target);
    }
    check_target(target, request);
    remove_stale(previous);
    remove_stale(partial);
    if (!fs::create_directory(partial, failed) || failed) {
      errno = failed ? failed.value() : EEXIST;
      system_error(partial, "the folder for the new results cannot be made");
    }
    std::ofstream(partial / kPartialMark).flush();
  }

  void swap() {
    if (!fs::exists(target) || fs::is_empty(target)) {
      if (::rename(partial.c_str(), target.c_str()) != 0) {
        system_error(target, "the results could not be moved to their place");
      }
      return;
    }
    if (::renameat2(AT_FDCWD, partial.c_str(), AT_FDCWD, target.c_str(), RENAME_EXCHANGE) == 0) {
      return;
    }
    if (errno != EINVAL && errno != ENOSYS && errno != EOPNOTSUPP) {
      system_error(target, "the results could not be moved to their place");
    }
    if (::rename(target.c_str(), previous.c_str()) != 0 || ::rename(partial.c_str(), target.c_str()) != 0) {
      system_error(target, "the results could not be moved to their place");
    }
  }

  fs::path target;
  fs::path partial;
  fs::path previous;
  std::string partial_text;
  std::unique_ptr<Lock> lock;
  std::mutex guard;
  bool done = false;
};

void check_output_request(const OutputRequest& request) {
  try {
    check_target(resolved(request.folder), request);
  } catch (const fs::filesystem_error& error) {
    throw InputError({request.folder, "", ""}, error.code().message(), "a place that you may write to",
                     "check the path");
  }
}

OutputFolder::OutputFolder(const OutputRequest& request) {
  try {
    state_ = std::make_unique<State>(request);
  } catch (const fs::filesystem_error& error) {
    throw InputError({request.folder, "", ""}, error.code().message(), "a place that you may write to",
                     "check the path and the permissions");
  }
}

OutputFolder::~OutputFolder() { abandon(); }

const std::string& OutputFolder::partial() const { return state_->partial_text; }

void OutputFolder::commit() {
  const std::lock_guard<std::mutex> held(state_->guard);
  base::ensure(!state_->done, "an output folder is committed once");
  base::ensure(holds_our_manifest(state_->partial), "results hold their manifest before they are swapped in");
  try {
    fs::remove(state_->partial / kPartialMark);
    sync_tree(state_->partial);
    state_->swap();
    state_->done = true;
    sync_one(state_->target.parent_path(), true);
    for (const fs::path& old : {state_->partial, state_->previous}) {
      if (fs::exists(old)) {
        remove_ours(old);
      }
    }
  } catch (const fs::filesystem_error& error) {
    throw InputError({state_->target.string(), "", ""}, error.code().message(),
                     "a place that you may write to", "check the permissions and the space left");
  }
}

void OutputFolder::abandon() noexcept {
  const std::lock_guard<std::mutex> held(state_->guard);
  if (state_->done) {
    return;
  }
  state_->done = true;
  // Another thread may still be writing: what it adds is removed, too.
  for (int attempt = 0; attempt < 100; ++attempt) {
    std::error_code failed;
    fs::remove_all(state_->partial, failed);
    if (!fs::exists(state_->partial, failed)) {
      break;
    }
  }
  state_->lock.reset();  // an interrupted process ends without destructors: its lock goes here
}

}  // namespace curbshed::geodata
