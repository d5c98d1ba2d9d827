#include "curbshed/geodata/burn.hpp"

#include "gdal_support.hpp"
#include "shapes_to_ogr.hpp"

#include <memory>

#include <gdal_alg.h>

namespace curbshed::geodata {

terrain::Grid<std::int32_t> burn_polygons(const terrain::GridFrame& frame,
                                          const std::vector<base::Shape>& shapes,
                                          const std::vector<std::int32_t>& values) {
  base::ensure(shapes.size() == values.size(), "burn_polygons: one value a shape");
  base::ensure(frame.rows > 0 && frame.cols > 0 && frame.rows < INT32_MAX && frame.cols < INT32_MAX,
               "burn_polygons: the frame has cells");
  terrain::Grid<std::int32_t> burned(frame.rows, frame.cols, -1);
  std::vector<std::unique_ptr<OGRGeometry>> owned;
  std::vector<OGRGeometryH> geometries;
  std::vector<double> numbers;
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    base::ensure(shapes[i].kind == base::ShapeKind::Polygon && values[i] >= 0,
                 "burn_polygons: polygons with values >= 0");
    owned.push_back(detail::to_ogr(shapes[i], 1.0, true));
    geometries.push_back(OGRGeometry::ToHandle(owned.back().get()));
    numbers.push_back(values[i]);
  }
  if (geometries.empty()) {
    return burned;
  }
  detail::start_gdal();
  detail::GdalMessages messages;
  detail::DatasetPtr raster = detail::memory_raster(frame, GDT_Int32, burned.data(), 1.0);
  const int band = 1;
  const CPLErr status = GDALRasterizeGeometries(GDALDataset::ToHandle(raster.get()), 1, &band,
                                                static_cast<int>(geometries.size()), geometries.data(),
                                                nullptr, nullptr, numbers.data(), nullptr, nullptr, nullptr);
  raster.reset();
  base::ensure(status == CE_None && !messages.failed(), "burn_polygons: the rasterizer works");
  return burned;
}

}  // namespace curbshed::geodata
