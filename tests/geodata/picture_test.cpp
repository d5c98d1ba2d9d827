#include "curbshed/geodata/picture.hpp"

#include "support/temp_folder.hpp"

#include <gdal_priv.h>
#include <gtest/gtest.h>

namespace curbshed::geodata {
namespace {

TEST(Picture, ReadsBackAsItWas) {
  terrain::Grid<std::uint8_t> grey(3, 5);
  for (std::int64_t i = 0; i < grey.cells(); ++i) grey[i] = static_cast<std::uint8_t>(17 * i);
  const std::string bytes = png_of(grey);
  EXPECT_EQ(bytes, png_of(grey));
  EXPECT_EQ(bytes.substr(1, 3), "PNG");
  const testing::TempFolder folder;
  folder.write("grey.png", bytes);
  GDALDataset* read = GDALDataset::Open(folder.file("grey.png").c_str());
  ASSERT_NE(read, nullptr);
  std::uint8_t cells[15] = {};
  ASSERT_EQ(read->GetRasterBand(1)->RasterIO(GF_Read, 0, 0, 5, 3, cells, 5, 3, GDT_Byte, 0, 0, nullptr),
            CE_None);
  for (std::size_t i = 0; i < 15; ++i) EXPECT_EQ(cells[i], grey[static_cast<std::int64_t>(i)]);
  GDALClose(read);
}

}  // namespace
}  // namespace curbshed::geodata
