#include "datum.hpp"

#include <memory>

#include <proj.h>

namespace curbshed::geodata::detail {
namespace {

constexpr double kKnownTo_m = 1.0;

struct FreeContext {
  void operator()(PJ_CONTEXT* context) const { proj_context_destroy(context); }
};
struct FreePj {
  void operator()(PJ* object) const { proj_destroy(object); }
};
struct FreeFactory {
  void operator()(PJ_OPERATION_FACTORY_CONTEXT* factory) const {
    proj_operation_factory_context_destroy(factory);
  }
};
struct FreeList {
  void operator()(PJ_OBJ_LIST* list) const { proj_list_destroy(list); }
};
using ContextPtr = std::unique_ptr<PJ_CONTEXT, FreeContext>;
using PjPtr = std::unique_ptr<PJ, FreePj>;

}  // namespace

bool datum_shift_unknown(const OGRSpatialReference& from, const OGRSpatialReference& to) {
  const ContextPtr context(proj_context_create());
  proj_log_level(context.get(), PJ_LOG_NONE);
  const PjPtr a(proj_create(context.get(), wkt_of(from).c_str()));
  const PjPtr b(proj_create(context.get(), wkt_of(to).c_str()));
  if (!a || !b) {
    return true;
  }
  const PjPtr base_a(proj_crs_get_geodetic_crs(context.get(), a.get()));
  const PjPtr base_b(proj_crs_get_geodetic_crs(context.get(), b.get()));
  if (!base_a || !base_b) {
    return true;
  }
  if (proj_is_equivalent_to_with_ctx(context.get(), base_a.get(), base_b.get(),
                                     PJ_COMP_EQUIVALENT_EXCEPT_AXIS_ORDER_GEOGCRS) != 0) {
    return false;
  }
  const std::unique_ptr<PJ_OPERATION_FACTORY_CONTEXT, FreeFactory> factory(
      proj_create_operation_factory_context(context.get(), nullptr));
  proj_operation_factory_context_set_spatial_criterion(context.get(), factory.get(),
                                                       PROJ_SPATIAL_CRITERION_PARTIAL_INTERSECTION);
  proj_operation_factory_context_set_grid_availability_use(
      context.get(), factory.get(), PROJ_GRID_AVAILABILITY_DISCARD_OPERATION_IF_MISSING_GRID);
  const std::unique_ptr<PJ_OBJ_LIST, FreeList> ways(
      proj_create_operations(context.get(), base_a.get(), base_b.get(), factory.get()));
  if (!ways || proj_list_get_count(ways.get()) == 0) {
    return true;
  }
  const PjPtr best(proj_list_get(context.get(), ways.get(), 0));
  if (!best || proj_coordoperation_has_ballpark_transformation(context.get(), best.get()) != 0) {
    return true;
  }
  const double accuracy_m = proj_coordoperation_get_accuracy(context.get(), best.get());
  return accuracy_m < 0.0 || accuracy_m >= kKnownTo_m;
}

}  // namespace curbshed::geodata::detail
