#include "gdal_support.hpp"

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <mutex>

#include <cpl_conv.h>
#include <cpl_error.h>
#include <cpl_vsi.h>
#include <fmt/format.h>

namespace curbshed::geodata::detail {

void start_gdal() {
  static std::once_flag once;
  std::call_once(once, [] {
    // No side files beside the user's data.
    CPLSetConfigOption("GDAL_PAM_ENABLED", "NO");
    GDALAllRegister();
    // GDAL's own worker threads have no collector of ours: they stay silent, the calling thread reports the
    // failure. A handler that the program has set itself is kept.
    const CPLErrorHandler before = CPLSetErrorHandler(CPLQuietErrorHandler);
    if (before != nullptr && before != CPLDefaultErrorHandler) {
      CPLSetErrorHandler(before);
    }
  });
}

GdalMessages::GdalMessages() { CPLPushErrorHandlerEx(&GdalMessages::take, this); }
GdalMessages::~GdalMessages() { CPLPopErrorHandler(); }

void GdalMessages::forget() {
  first_failure_.clear();
  last_warning_.clear();
}

void CPL_STDCALL GdalMessages::take(CPLErr level, CPLErrorNum, const char* text) {
  auto* self = static_cast<GdalMessages*>(CPLGetErrorHandlerUserData());
  if (level == CE_Warning) {
    self->last_warning_ = text;
  } else if ((level == CE_Failure || level == CE_Fatal) && self->first_failure_.empty()) {
    self->first_failure_ = *text == '\0' ? "unknown reason" : text;
  }
}

void GdalMessages::throw_if_failed(const std::string& file, std::string_view doing,
                                   std::string_view next) const {
  if (failed()) {
    throw base::InputError({.file = file, .layer = {}, .feature = {}},
                           fmt::format("{}: {}", doing, first_failure_), {}, std::string(next));
  }
}

ThreadSetting::ThreadSetting(const char* key, const char* value) : key_(key) {
  const char* before = CPLGetThreadLocalConfigOption(key, nullptr);
  was_set_ = before != nullptr;
  before_ = was_set_ ? before : "";
  CPLSetThreadLocalConfigOption(key, value);
}

ThreadSetting::~ThreadSetting() { CPLSetThreadLocalConfigOption(key_, was_set_ ? before_.c_str() : nullptr); }

DatasetPtr open_file(const std::string& file, unsigned flags, const char* const* open_options,
                     std::string_view not_this, std::string_view next) {
  start_gdal();
  const base::Where where{.file = file, .layer = {}, .feature = {}};
  if (file.empty()) {
    throw base::InputError(where, "no file is named", "a path", "name the file in the study");
  }
  GdalMessages messages;
  DatasetPtr dataset(GDALDataset::Open(file.c_str(), flags | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR,
                                       nullptr, open_options, nullptr));
  if (dataset) {
    return dataset;
  }
  VSIStatBufL status;
  const bool plain_path = file.find(':') == std::string::npos;
  if (plain_path && VSIStatL(file.c_str(), &status) != 0) {
    throw base::InputError(where, "there is no such file", {},
                           "check the path; it counts from the folder of the study file");
  }
  throw base::InputError(where, fmt::format("{}: {}", not_this, messages.first_failure()), {},
                         std::string(next));
}

PartialFile::PartialFile(std::string path) : path_(std::move(path)) {
  const std::filesystem::path whole(path_);
  partial_ = (whole.parent_path() / (".partial-" + whole.filename().string())).string();
  std::error_code ignored;
  std::filesystem::remove(partial_, ignored);
}

PartialFile::~PartialFile() {
  if (!done_) {
    std::error_code ignored;
    std::filesystem::remove(partial_, ignored);
    std::filesystem::remove(partial_ + "-journal", ignored);
  }
}

void PartialFile::commit() {
  std::error_code failure;
  std::filesystem::rename(partial_, path_, failure);
  if (failure) {
    throw base::InputError({.file = path_, .layer = {}, .feature = {}},
                           fmt::format("could not be written: {}", failure.message()), {},
                           "check that the folder exists and may be written to");
  }
  done_ = true;
}

}  // namespace curbshed::geodata::detail
