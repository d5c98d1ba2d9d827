#include "curbshed/geodata/layer_list.hpp"

#include "gdal_support.hpp"

#include <ogrsf_frmts.h>

namespace curbshed::geodata {

std::vector<LayerHead> list_layers(const std::string& file) {
  const detail::DatasetPtr dataset =
      detail::open_file(file, GDAL_OF_VECTOR, nullptr, "is not a map file that can be read",
                        "give points, lines or polygons, for example a GeoPackage or GeoJSON");
  detail::GdalMessages messages;
  std::vector<LayerHead> heads;
  for (int i = 0; i < dataset->GetLayerCount(); ++i) {
    OGRLayer& layer = *dataset->GetLayer(i);
    LayerHead head;
    head.name = layer.GetName();
    head.features = layer.GetFeatureCount();
    switch (wkbFlatten(layer.GetGeomType())) {
      case wkbPoint:
      case wkbMultiPoint:
        head.kind = base::ShapeKind::Point;
        break;
      case wkbLineString:
      case wkbMultiLineString:
        head.kind = base::ShapeKind::Line;
        break;
      case wkbPolygon:
      case wkbMultiPolygon:
        head.kind = base::ShapeKind::Polygon;
        break;
      default:
        break;
    }
    if (layer.GetSpatialRef() != nullptr && !layer.GetSpatialRef()->IsEmpty()) {
      head.crs_name = detail::name_of(detail::horizontal(*layer.GetSpatialRef()));
    }
    OGRFeatureDefn& definition = *layer.GetLayerDefn();
    for (int f = 0; f < definition.GetFieldCount(); ++f) {
      head.fields.emplace_back(definition.GetFieldDefn(f)->GetNameRef());
    }
    heads.push_back(std::move(head));
  }
  return heads;
}

}  // namespace curbshed::geodata
