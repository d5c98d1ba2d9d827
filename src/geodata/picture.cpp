#include "curbshed/geodata/picture.hpp"

#include "gdal_support.hpp"

#include <cpl_vsi.h>
#include <fmt/format.h>

namespace curbshed::geodata {
namespace {

struct Unlink {
  std::string path;
  ~Unlink() { VSIUnlink(path.c_str()); }
};

}  // namespace

std::string png_of(const terrain::Grid<std::uint8_t>& grey) {
  base::ensure(grey.rows() > 0 && grey.cols() > 0, "a picture has cells");
  detail::start_gdal();
  const detail::GdalMessages messages;
  GDALDriver* memory = GetGDALDriverManager()->GetDriverByName("MEM");
  GDALDriver* png = GetGDALDriverManager()->GetDriverByName("PNG");
  base::ensure(memory != nullptr && png != nullptr, "GDAL comes with its MEM and PNG drivers");
  const detail::DatasetPtr source(
      memory->Create("", static_cast<int>(grey.cols()), static_cast<int>(grey.rows()), 1, GDT_Byte, nullptr));
  base::ensure(source != nullptr, "a small picture fits into memory");
  const CPLErr wrote = source->GetRasterBand(1)->RasterIO(
      GF_Write, 0, 0, static_cast<int>(grey.cols()), static_cast<int>(grey.rows()),
      const_cast<std::uint8_t*>(grey.data()), static_cast<int>(grey.cols()), static_cast<int>(grey.rows()),
      GDT_Byte, 0, 0, nullptr);
  base::ensure(wrote == CE_None, "a small picture fits into memory");
  const Unlink file{fmt::format("/vsimem/curbshed-{}.png", static_cast<const void*>(grey.data()))};
  {
    const detail::DatasetPtr copy(
        png->CreateCopy(file.path.c_str(), source.get(), FALSE, nullptr, nullptr, nullptr));
    base::ensure(copy != nullptr, messages.first_failure().c_str());
  }
  vsi_l_offset length = 0;
  const GByte* bytes = VSIGetMemFileBuffer(file.path.c_str(), &length, FALSE);
  base::ensure(bytes != nullptr, "a PNG in memory has bytes");
  return {reinterpret_cast<const char*>(bytes), static_cast<std::size_t>(length)};
}

}  // namespace curbshed::geodata
