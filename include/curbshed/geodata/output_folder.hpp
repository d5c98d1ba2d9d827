// A folder of results that appears whole or not at all.
#pragma once

#include <memory>
#include <string>

namespace curbshed::geodata {

struct OutputRequest {
  std::string folder;      ///< where the results shall be
  bool overwrite = false;  ///< replace results of an earlier run
};

/// Throws the InputErrors of OutputFolder, writes nothing.
void check_output_request(const OutputRequest& request);

/// Takes a lock beside the folder, makes `<folder>.partial` beside it, and at the end swaps it in with one
/// system call.
///
/// Guarantees: 1 at every moment, also after SIGKILL or a power cut, `folder` holds either all of the old
/// results or all of the new ones; 2 two runs into one folder never overlap: the second one gets an
/// InputError; 3 a folder that holds something else than results of this program is never touched; 4 what a
/// dead run left behind is removed by the next one. Where the file system cannot exchange two names in one
/// step, the old folder is renamed away first: then a kill between two renames leaves it as
/// `<folder>.previous`, which the next run puts back. InputErrors: the folder exists (without overwrite), is
/// no folder, is not ours; another run writes there; no permission.
class OutputFolder {
 public:
  explicit OutputFolder(const OutputRequest& request);
  /// Removes the partial folder unless it was committed.
  ~OutputFolder();
  OutputFolder(const OutputFolder&) = delete;
  OutputFolder& operator=(const OutputFolder&) = delete;

  /// Write here. The folder exists and is empty at the start.
  const std::string& partial() const;
  /// Syncs every file and swaps. `manifest.json` must be among the files: it marks a folder as ours.
  void commit();
  /// Removes the partial folder now. May be called from another thread; a commit under way is waited for.
  void abandon() noexcept;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace curbshed::geodata
