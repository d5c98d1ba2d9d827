#include "curbshed/cli/gather_inputs.hpp"

#include "curbshed/base/names.hpp"
#include "curbshed/cli/centreline_layer.hpp"
#include "curbshed/cli/drain_inlets.hpp"
#include "curbshed/cli/feature_rows.hpp"
#include "curbshed/cli/field_rows.hpp"
#include "curbshed/cli/ground_classes.hpp"
#include "curbshed/cli/gutter_rows.hpp"
#include "curbshed/cli/lot_tanks.hpp"
#include "curbshed/cli/site_places.hpp"
#include "curbshed/cli/surroundings_layers.hpp"
#include "curbshed/water/soils.hpp"
#include "curbshed/water/surfaces.hpp"

#include <algorithm>
#include <numeric>
#include <optional>
#include <set>
#include <tuple>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

using base::InputError;
using study::Settings;

/// Notes that name a file do so as the study does: outputs hold no folder of the machine.
base::Notes naming_file(const base::Notes& notes, const std::string& file) {
  base::Notes plain;
  for (std::size_t i = 0; i < base::kNoteCount; ++i) {
    const auto id = static_cast<base::NoteId>(i);
    const base::Notes::Entry& entry = notes.at(id);
    const bool named = id == base::NoteId::HeightUnitFromStudy || id == base::NoteId::DatumShiftUnknown;
    if (entry.count > 0) {
      plain.add(id, entry.worst, named ? file : entry.first_feature, entry.count);
    }
  }
  return plain;
}

class Gatherer {
 public:
  Gatherer(const Settings& settings, const GatherOptions& options) : settings_(settings), options_(options) {}

  GatheredInputs gather() {
    read_ground();
    read_pavement();
    read_curbs();
    places_.emplace(out_.ground.projection, out_.inputs.curbs, out_.inputs.ground.frame.cell_m,
                    settings_.street.snap_m);
    read_cuts();
    read_existing_basins();
    read_inlets();
    read_outfalls();
    read_flow_lines();
    read_corner_points();
    read_field();
    read_levels();
    read_walls();
    read_weights();
    sort_sites();
    read_addresses();
    read_things();
    out_.inputs.notes.merge(places_->notes());
    read_lots();
    cover_.buildings = read_polygons(settings_.lots.buildings, "lots.buildings");
    cover_.surfaces = read_classed(settings_.lots.surfaces, "lots.surfaces", "surface");
    cover_.soil_groups = read_soils();
    keep_cover();
    study::sort_things(out_.inputs.surroundings);
    classify_ground(cover_, settings_, options_.workers, out_.inputs);
    if (settings_.candidates.on) find_beside();
    return std::move(out_);
  }

 private:
  void read_ground() {
    geodata::GroundSource source;
    source.file = path_in_study(settings_, settings_.ground.elevation);
    source.height_unit = settings_.ground.height_unit;
    source.bytes_a_cell = kBytesACell;
    source.bytes_besides = kBytesBesides;
    source.memory_limit_bytes = options_.memory_limit_bytes;
    source.window = options_.window;
    if (source.height_unit.empty() && settings_.street.pavement.given()) {
      // Should no height unit be known, the grades of the streets are shown under each reading.
      const StudyLayer streets(settings_, "street.pavement", geodata::ground_projection(source.file), {},
                               false);
      for (std::size_t row = 0; row < streets.rows(); ++row) {
        const auto& parts = streets.shape(row).polygons;
        source.streets.insert(source.streets.end(), parts.begin(), parts.end());
      }
    }
    out_.ground = geodata::read_ground(source);
    out_.inputs.ground = std::move(out_.ground.ground);
    const terrain::GridFrame& frame = out_.inputs.ground.frame;
    base::Box read;
    read.add({frame.west_m, frame.north_m});
    read.add({frame.west_m + static_cast<double>(frame.cols) * frame.cell_m,
              frame.north_m - static_cast<double>(frame.rows) * frame.cell_m});
    box_ = options_.window ? geodata::ground_extent(source.file).box() : read;
    if (options_.window) {
      clip_ = read;
    }
    report::InputFile file = input_file(settings_, "ground.elevation", settings_.ground.elevation, "");
    file.crs = out_.ground.projection.name;
    out_.inputs.notes.merge(naming_file(out_.ground.notes, file.file));
    out_.files.push_back(std::move(file));
    if (!settings_.rules.file.empty()) {
      out_.files.push_back(input_file(settings_, "rules.file", settings_.rules.file, ""));
    }
    for (const study::StormSetting& storm : settings_.rain.storms) {
      if (storm.table.empty()) continue;
      out_.files.push_back(input_file(settings_, fmt::format("rain.storm.{}", storm.id), storm.table, ""));
    }
  }

  StudyLayer open(std::string_view part, bool by_hand) {
    return {settings_, part, out_.ground.projection, box_, by_hand, by_hand ? std::nullopt : clip_};
  }

  /// Checks the share that was set aside and keeps what there is to tell.
  void close(const StudyLayer& layer) {
    layer.check_share(settings_.ground.max_set_aside, options_.strict);
    report::InputFile file = layer.file();
    file.features = layer.features();
    file.set_aside = static_cast<std::int64_t>(layer.set_aside().size());
    out_.files.push_back(std::move(file));
    out_.features[std::string(layer.part())] = layer.features();
    if (layer.outside() > 0) out_.outside[std::string(layer.part())] += layer.outside();
    for (const geodata::SetAside& one : layer.set_aside()) {
      out_.set_aside.push_back({std::string(layer.part()), one.id, one.reason, one.shape});
    }
    out_.inputs.notes.merge(naming_file(layer.notes(), layer.file().file));
  }

  std::vector<base::Shape> read_polygons(const study::LayerSource& source, std::string_view part) {
    std::vector<base::Shape> shapes;
    if (!source.given()) {
      return shapes;
    }
    const StudyLayer layer = open(part, false);
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      shapes.push_back(layer.shape(row));
      if (part == "lots.buildings") {
        out_.inputs.surroundings.things.push_back({study::ThingKind::Building,
                                                   layer.named(row) ? layer.id(row) : std::string(),
                                                   layer.shape(row),
                                                   {}});
      }
    }
    close(layer);
    return shapes;
  }

  void read_pavement() { cover_.pavement = read_polygons(settings_.street.pavement, "street.pavement"); }

  ClassedPolygons read_classed(const study::LayerSource& source, std::string_view part,
                               std::string_view field) {
    ClassedPolygons polygons;
    if (!source.given()) {
      return polygons;
    }
    StudyLayer layer = open(part, false);
    add_classed(layer, part, field, polygons);
    close(layer);
    return polygons;
  }

  /// By the lot's id, then its place: the order of the layer must not decide.
  void order_tanks() {
    study::StudyInputs& inputs = out_.inputs;
    std::vector<std::size_t> order(inputs.tanks.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    const auto place = [&](std::size_t i) {
      const base::Box box = base::box_of(inputs.tank_lots[i]);
      return std::tuple(inputs.tanks[i].lot, box.min_x_m, box.min_y_m, box.max_x_m, box.max_y_m);
    };
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return place(a) < place(b); });
    std::vector<std::int32_t> number(order.size());
    std::vector<study::LotTank> tanks;
    std::vector<base::Shape> lots;
    for (std::size_t i = 0; i < order.size(); ++i) {
      number[order[i]] = static_cast<std::int32_t>(i);
      tanks.push_back(std::move(inputs.tanks[order[i]]));
      lots.push_back(std::move(inputs.tank_lots[order[i]]));
    }
    inputs.tanks = std::move(tanks);
    inputs.tank_lots = std::move(lots);
    for (std::int32_t& tank : cover_.lots.tanks) {
      tank = tank < 0 ? tank : number[static_cast<std::size_t>(tank)];
    }
  }

  /// Yards, and tanks where a lot has one.
  void read_lots() {
    if (!settings_.lots.lots.given()) {
      return;
    }
    StudyLayer layer = open("lots.lots", false);
    add_classed(layer, "lots.lots", "yard", cover_.yards);
    study::StudyInputs& inputs = out_.inputs;
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      std::int32_t number = -1;
      try {
        if (std::optional<study::LotTank> tank = lot_tank(layer, row, settings_.lots.tank)) {
          number = static_cast<std::int32_t>(inputs.tanks.size());
          inputs.tanks.push_back(std::move(*tank));
          inputs.tank_lots.push_back(layer.shape(row));
        }
      } catch (const InputError& error) {
        layer.set_aside(row, error.met());
      }
      cover_.lots.shapes.push_back(layer.shape(row));
      cover_.lots.tanks.push_back(number);
    }
    order_tanks();
    if (inputs.tanks.empty()) {
      cover_.lots = {};
    }
    close(layer);
  }

  void add_classed(StudyLayer& layer, std::string_view part, std::string_view field,
                   ClassedPolygons& polygons) {
    const auto& keys = study::study_layers();
    const auto key =
        std::find_if(keys.begin(), keys.end(), [&](const study::LayerKey& one) { return one.part == part; });
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      const std::string value = layer.text(row, field);
      if (part == "lots.lots") {
        out_.inputs.surroundings.things.push_back(
            {study::ThingKind::Lot, layer.id(row), layer.shape(row), {}});
      }
      const auto known = std::find(key->classes.begin(), key->classes.end(), value);
      if (known != key->classes.end()) {
        polygons.shapes.push_back(layer.shape(row));
        polygons.classes.push_back(value);
      } else if (!value.empty()) {
        layer.set_aside(
            row, fmt::format("the {} \"{}\" is not a class of ours and not in `classes`", field, value));
      }  // absent: what lies below stays
    }
  }

  /// Group (else by the conductivity) and texture. A polygon without a texture has the default one.
  ClassedPolygons read_soils() {
    ClassedPolygons polygons;
    if (!settings_.soil.groups.given()) {
      return polygons;
    }
    StudyLayer layer = open("soil.groups", false);
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      std::string group = layer.text(row, "group");
      const std::optional<double> rate_m_s = layer.measure(row, "conductivity");
      if (group.empty() && rate_m_s) {
        group = water::soil_group_of(base::Rate::metres_per_second(*rate_m_s)).name();
      }
      const std::string written = layer.text(row, "texture");
      const std::string& texture = written.empty() ? settings_.soil.default_texture : written;
      const auto textures = water::soil_textures();
      if (group.empty()) {
        continue;  // what lies below stays
      }
      if (group != "A" && group != "B" && group != "C" && group != "D") {
        layer.set_aside(row,
                        fmt::format("the group \"{}\" is not a class of ours and not in `classes`", group));
      } else if (!texture.empty() && std::none_of(textures.begin(), textures.end(),
                                                  [&](const auto& one) { return one.name == texture; })) {
        layer.set_aside(row, fmt::format("the texture \"{}\" is not one of ours", texture));
      } else {
        polygons.shapes.push_back(layer.shape(row));
        polygons.classes.push_back(texture.empty() ? group : group + "/" + texture);
      }
    }
    close(layer);
    return polygons;
  }

  void read_curbs() {
    if (settings_.street.centrelines.given()) {
      read_centrelines();
    }
    if (settings_.street.curbs.given()) {
      read_curb_layer();
    } else if (!settings_.street.centrelines.given()) {
      out_.inputs.curbs = terrain::curbs_from_pavement(pavement(), settings_.street.curb_height_m);
      street::CurbFacts facts;
      facts.from = street::CurbFrom::Pavement;
      out_.inputs.curb_facts.assign(out_.inputs.curbs.size(), facts);
    }
    if (!street_gutters_.empty()) {
      out_.inputs.gutters.resize(out_.inputs.curbs.size());
      take_street_gutters(street_gutters_, out_.inputs.curbs, out_.inputs.gutters);
    }
  }

  std::vector<base::Polygon> pavement() const {
    std::vector<base::Polygon> all;
    for (const base::Shape& shape : cover_.pavement) {
      all.insert(all.end(), shape.polygons.begin(), shape.polygons.end());
    }
    return all;
  }

  /// Blocks of streets; curbs too unless there is a curb layer, and pavement unless there is one.
  void read_centrelines() {
    StudyLayer layer = open("street.centrelines", false);
    const std::vector<street::Centreline> lines = centrelines_of(layer, settings_);
    street_gutters_ = street_gutters(layer);
    const street::CentrelineSettings about = centreline_settings(settings_);
    study::StudyInputs& inputs = out_.inputs;
    const bool paved = settings_.street.pavement.given();
    street::StreetCurbs found = paved ? street::name_pavement_edges(pavement(), lines, inputs.ground, about)
                                      : street::curbs_from_centrelines(lines, inputs.ground, about);
    set_unused_aside(found, layer);
    close(layer);
    inputs.blocks = found.blocks;
    for (base::Polygon& polygon : found.pavement) {
      cover_.pavement.push_back(base::polygon_shape(std::move(polygon)));
    }
    if (settings_.street.curbs.given()) {
      return;
    }
    note_streets(found, inputs.notes);
    inputs.curbs = std::move(found.curbs);
    inputs.curb_facts = std::move(found.facts);
  }

  void read_curb_layer() {
    std::vector<terrain::CurbLine>& curbs = out_.inputs.curbs;
    StudyLayer layer = open("street.curbs", false);
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      try {
        const terrain::CurbLine curb = curb_of(layer, row);
        const study::GutterInput gutter = gutter_of(layer, row);
        std::size_t part = 1;
        for (const base::Polyline& line : layer.shape(row).lines) {
          if (clip_ && !base::meets(*clip_, base::line_shape(line))) {
            ++part;
            continue;
          }
          curbs.push_back(curb);
          out_.inputs.gutters.push_back(gutter);
          curbs.back().line = line;
          if (part > 1) {
            curbs.back().id = fmt::format("{}/{}", curb.id, part);
          }
          ++part;
        }
      } catch (const InputError& error) {
        layer.set_aside(row, error.met());
      }
    }
    close(layer);
  }

  street::Site site_of(const StudyLayer& layer, std::size_t row, street::SiteKind kind) {
    street::Site site;
    site.kind = kind;
    site.id = layer.named(row) ? layer.id(row) : std::string();
    site.at = places_->of(layer, row);
    site.source = source_of(layer);
    return site;
  }

  /// A name, where there is one, is there once.
  /// Not on the part of the elevation model that is read.
  bool elsewhere(base::Point at) const { return clip_ && !base::meets(*clip_, base::point_shape(at)); }

  void take_name(const StudyLayer& layer, std::size_t row, std::set<std::string>& names) {
    if (layer.named(row) && !names.insert(layer.id(row)).second) {
      throw InputError(layer.where(row), fmt::format("the name \"{}\" is there twice", layer.id(row)),
                       "each name once", "rename one of the two");
    }
  }

  void require_name(const StudyLayer& layer, std::size_t row, std::set<std::string>& names) {
    if (!layer.named(row)) {
      throw InputError(layer.where(row), "the feature has no name", "a name, each one once",
                       "fill the field `id`, or map yours: fields = { id = \"NAME\" }");
    }
    take_name(layer, row, names);
  }

  void read_cuts() {
    std::set<std::string> names;
    if (!settings_.street.cuts.file.empty()) {
      const StudyLayer layer = open("street.cuts", true);
      read_cuts_of(layer, names);
      close(layer);
    }
    if (!settings_.street.cuts.rows.empty()) {
      const StudyLayer rows = StudyLayer::rows_of(settings_, "street.cuts", out_.ground.projection);
      read_cuts_of(rows, names);
      out_.features["street.cuts"] += rows.features();
    }
  }

  void read_cuts_of(const StudyLayer& layer, std::set<std::string>& names) {
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      take_name(layer, row, names);
      street::Site site = site_of(layer, row, street::SiteKind::Cut);
      if (options_.place && !base::meets(*options_.place, base::point_shape(site.at))) {
        throw InputError(layer.where(row), "the cut lies outside the study's place",
                         "a cut in [place] or its margin",
                         "move the cut, leave it out with `where`, or make [place] larger");
      }
      site.grade = layer.measure(row, "grade");
      site.cross_slope = layer.measure(row, "cross_slope");
      add_site(std::move(site), cut_overrides(layer, row, settings_.basin));
    }
  }

  void read_existing_basins() {
    if (!settings_.street.existing_basins.given()) {
      return;
    }
    constexpr double kBesideCurb_m = 5.0;
    StudyLayer layer = open("street.existing_basins", false);
    std::set<std::string> names;
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      try {
        street::Site site;
        site.kind = street::SiteKind::Basin;
        site.id = layer.named(row) ? layer.id(row) : std::string();
        site.source = source_of(layer);
        const std::vector<base::Polygon>& polygons = layer.shape(row).polygons;
        site.at = polygons.empty() ? places_->of(layer, row)
                                   : beside_curb(polygons.front(), out_.inputs.curbs, kBesideCurb_m);
        if (!site.id.empty() && !names.insert(site.id).second) {
          throw InputError({}, fmt::format("the name \"{}\" is there twice", site.id), "", "");
        }
        if (!elsewhere(site.at)) {
          add_site(std::move(site), existing_basin(layer, row, settings_.basin));
        }
      } catch (const InputError& error) {
        layer.set_aside(row, error.met());
      }
    }
    close(layer);
  }

  void read_inlets() {
    out_.inputs.inlets_given = settings_.street.inlets.given();
    if (!out_.inputs.inlets_given) {
      return;
    }
    const RatingTables ratings = read_ratings();
    out_.inputs.ratings = ratings.tables;
    const std::optional<PipeOutlets> outlets = read_outlets();
    StudyLayer layer = open("street.inlets", false);
    std::set<std::string> names;
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      try {
        street::Site site = site_of(layer, row, street::SiteKind::Inlet);
        if (!site.id.empty() && !names.insert(site.id).second) {
          throw InputError({}, fmt::format("the name \"{}\" is there twice", site.id), "", "");
        }
        if (elsewhere(site.at)) {
          ++out_.outside["street.inlets"];
          continue;
        }
        study::SiteOverrides overrides;
        overrides.opening_m = layer.measure(row, "length");
        overrides.clogging = layer.measure(row, "clogging");
        overrides.pipe_limit_m3_s = layer.measure(row, "pipe_limit");
        overrides.throat_m = layer.measure(row, "height");
        overrides.dip_m = layer.measure(row, "dip");
        overrides.dip_width_m = layer.measure(row, "dip_width");
        overrides.inlet = inlet_input(layer, row, ratings, outlets);
        if (overrides.inlet.outlet_at && elsewhere(*overrides.inlet.outlet_at)) {
          overrides.inlet.outlet_at.reset();  // it comes up in another part of the town
        }
        add_site(std::move(site), std::move(overrides));
      } catch (const InputError& error) {
        layer.set_aside(row, error.met());
      }
    }
    close(layer);
  }

  RatingTables read_ratings() {
    if (!settings_.street.inlet_ratings.given()) {
      return {};
    }
    const StudyLayer layer = open("street.inlet_ratings", true);
    close(layer);
    return rating_tables(layer);
  }

  std::optional<PipeOutlets> read_outlets() {
    if (!settings_.street.pipe_outlets.given()) {
      return std::nullopt;
    }
    StudyLayer layer = open("street.pipe_outlets", false);
    PipeOutlets outlets = pipe_outlets(layer, *places_);
    close(layer);
    return outlets;
  }

  void read_outfalls() {
    if (!settings_.street.outfalls.given()) {
      return;
    }
    const StudyLayer layer = open("street.outfalls", true);
    std::set<std::string> names;
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      take_name(layer, row, names);
      street::Site site = site_of(layer, row, street::SiteKind::Outfall);
      if (elsewhere(site.at)) {
        ++out_.outside["street.outfalls"];
        continue;  // of another part of the town
      }
      study::SiteOverrides overrides;
      overrides.words = layer.text(row, "words");
      add_site(std::move(site), std::move(overrides));
    }
    close(layer);
  }

  void read_addresses() {
    if (!settings_.lots.addresses.given()) {
      return;
    }
    StudyLayer layer = open("lots.addresses", false);
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      try {
        study::Address address{layer.text(row, "number"), layer.text(row, "street"), places_->of(layer, row)};
        if (address.number.empty()) {
          throw InputError({}, "the address has no number", "", "");
        }
        out_.inputs.addresses.push_back(std::move(address));
      } catch (const InputError& error) {
        layer.set_aside(row, error.met());
      }
    }
    close(layer);
  }

  static std::string source_of(const StudyLayer& layer) {
    return layer.layer().source.empty() ? std::string(layer.part()) : layer.layer().source;
  }

  /// One of the layer's words, or an error that names the feature.
  static std::string word_of(const StudyLayer& layer, std::size_t row, std::string_view field,
                             const std::string& one, const std::string& other) {
    std::string word = layer.text(row, field);
    if (word != one && word != other) {
      throw InputError(layer.where(row),
                       word.empty() ? fmt::format("the field {} is empty", field)
                                    : fmt::format("the {} \"{}\" is not known here", field, word),
                       fmt::format("{} or {}", one, other),
                       "fill it, or map yours with `fields` and `classes`");
    }
    return word;
  }

  void read_flow_lines() {
    if (!settings_.street.flow_lines.given()) {
      return;
    }
    const StudyLayer layer = open("street.flow_lines", true);
    std::set<std::string> names;
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      require_name(layer, row, names);
      street::FlowLine line;
      line.id = layer.id(row);
      line.source = source_of(layer);
      line.hump = word_of(layer, row, "kind", "valley", "hump") == "hump";
      line.height_m = layer.measure(row, "height").value_or(line.height_m);
      for (const base::Polyline& part : layer.shape(row).lines) {
        out_.inputs.flow_lines.push_back(line);
        out_.inputs.flow_lines.back().line = part;
      }
    }
    close(layer);
  }

  /// By kind and name, so that the order in files does not matter.
  void sort_sites() {
    std::vector<std::size_t> order(out_.inputs.sites.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::sort(order.begin(), order.end(), [this](std::size_t a, std::size_t b) {
      const street::Site& one = out_.inputs.sites[a];
      const street::Site& other = out_.inputs.sites[b];
      if (one.kind != other.kind) return one.kind < other.kind;
      if (one.id.empty() != other.id.empty()) return other.id.empty();
      if (one.id != other.id) return base::natural_less(one.id, other.id);
      return one.at.x_m != other.at.x_m ? one.at.x_m < other.at.x_m : one.at.y_m < other.at.y_m;
    });
    study::StudyInputs& inputs = out_.inputs;
    std::vector<street::Site> sites;
    std::vector<study::SiteOverrides> overrides;
    for (const std::size_t i : order) {
      sites.push_back(std::move(inputs.sites[i]));
      overrides.push_back(std::move(inputs.overrides[i]));
    }
    inputs.sites = std::move(sites);
    inputs.overrides = std::move(overrides);
  }

  /// Of the water at a corner point.
  double turning_share(const StudyLayer& layer, std::size_t row) {
    const std::optional<double> share = layer.measure(row, "share");
    const std::string way = layer.text(row, "way");
    if (way == "share") {
      if (!share) {
        throw InputError(layer.where(row), "it has way share, and no share", "0 to 1: the part that turns",
                         "fill in share, or say turn or cross");
      }
      return *share;
    }
    if (share) {
      throw InputError(layer.where(row), fmt::format("it has a share of {:g}, and way {}", *share, way),
                       "a share with way share only", "say share in way, or leave share empty");
    }
    if (way != "turn" && way != "cross") {
      throw InputError(
          layer.where(row),
          way.empty() ? "the field way is empty" : fmt::format("the way \"{}\" is not known here", way),
          "turn, cross or share", "fill it, or map yours with `fields` and `classes`");
    }
    return way == "turn" ? 1.0 : 0.0;
  }

  void read_corner_points() {
    if (!settings_.street.corners.given()) {
      return;
    }
    const StudyLayer layer = open("street.corners", true);
    std::set<std::string> names;
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      require_name(layer, row, names);
      street::CornerPoint point;
      point.id = layer.id(row);
      point.source = source_of(layer);
      point.at = places_->of(layer, row);
      point.turns = turning_share(layer, row);
      out_.inputs.corner_points.push_back(std::move(point));
    }
    close(layer);
  }

  void read_field() {
    if (!settings_.street.field.given()) {
      return;
    }
    const StudyLayer layer = open("street.field", true);
    out_.inputs.field = field_rows(layer, *places_);
    close(layer);
  }

  void read_levels() {
    if (!settings_.street.levels.given()) {
      return;
    }
    const StudyLayer layer = open("street.levels", true);
    for (study::FieldRow& row : level_rows(layer)) {
      out_.inputs.field.push_back(std::move(row));
    }
    close(layer);
  }

  void read_walls() {
    if (!settings_.lots.walls.given()) {
      return;
    }
    StudyLayer layer = open("lots.walls", false);
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      try {
        const std::optional<double> height_m = layer.measure(row, "height");
        for (const base::Polyline& line : layer.shape(row).lines) {
          out_.inputs.walls.push_back({layer.id(row), line, height_m});
        }
      } catch (const InputError& error) {
        layer.set_aside(row, error.met());
      }
    }
    close(layer);
  }

  void read_weights() {
    if (!settings_.choose.weights.given()) {
      return;
    }
    StudyLayer layer = open("choose.weights", false);
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      try {
        const std::optional<double> weight = layer.measure(row, "weight");
        if (!weight) throw InputError({}, "the feature has no weight", "", "");
        out_.inputs.weights.push_back({layer.shape(row), *weight});
      } catch (const InputError& error) {
        layer.set_aside(row, error.met());
      }
    }
    close(layer);
  }

  /// What only the rules for places look at.
  void read_things() {
    for (const study::ThingLayer& kind : study::thing_layers()) {
      if (!layer_given(settings_, kind.part)) continue;
      StudyLayer layer = open(kind.part, false);
      add_things(kind, layer, *places_, out_.inputs.surroundings);
      close(layer);
    }
  }

  /// What other layers say for the rules as well.
  void keep_cover() {
    study::Surroundings& around = out_.inputs.surroundings;
    if (settings_.lots.lots.given()) around.set_known(study::ThingKind::Lot);
    if (settings_.lots.buildings.given()) around.set_known(study::ThingKind::Building);
    for (std::size_t i = 0; i < cover_.surfaces.shapes.size(); ++i) {
      if (cover_.surfaces.classes[i] != "walk") continue;
      around.set_known(study::ThingKind::Walk);
      around.things.push_back({study::ThingKind::Walk, "", cover_.surfaces.shapes[i], {}});
    }
  }

  /// What candidates look at beside the curbs.
  void find_beside() {
    const auto add = [&](siting::BesideKind kind, const base::Shape& shape) {
      std::vector<base::Polygon>& list = out_.beside[kind];
      list.insert(list.end(), shape.polygons.begin(), shape.polygons.end());
    };
    for (std::size_t i = 0; i < cover_.surfaces.shapes.size(); ++i) {
      const std::string& name = cover_.surfaces.classes[i];
      const water::SurfaceKind kind = water::surface_class(name).kind;
      if (kind == water::SurfaceKind::Roof) {
        add(siting::BesideKind::Building, cover_.surfaces.shapes[i]);
      } else if (name != "walk" &&
                 (kind == water::SurfaceKind::YardPaving || kind == water::SurfaceKind::Street)) {
        add(siting::BesideKind::Paved, cover_.surfaces.shapes[i]);
      }
    }
    // Walks of both layers, buildings and lots are all there.
    for (const study::Thing& thing : out_.inputs.surroundings.things) {
      switch (thing.kind) {
        case study::ThingKind::Walk:
          add(siting::BesideKind::Walk, thing.shape);
          break;
        case study::ThingKind::Driveway:
          add(siting::BesideKind::Paved, thing.shape);
          break;
        case study::ThingKind::Building:
          add(siting::BesideKind::Building, thing.shape);
          break;
        case study::ThingKind::Lot:
          add(siting::BesideKind::Lot, thing.shape);
          break;
        case study::ThingKind::Parking:
        case study::ThingKind::AccessibleParking:
        case study::ThingKind::Loading:
          add(siting::BesideKind::Parking, thing.shape);
          break;
        default:
          break;
      }
    }
  }

  void add_site(street::Site site, study::SiteOverrides overrides) {
    out_.inputs.sites.push_back(std::move(site));
    out_.inputs.overrides.push_back(std::move(overrides));
  }

  const Settings& settings_;
  GatherOptions options_;
  GatheredInputs out_;
  GroundCover cover_;
  base::Box box_;                  ///< of the whole elevation model
  std::optional<base::Box> clip_;  ///< of what is read of it
  std::optional<SitePlaces> places_;
  std::vector<StreetGutter> street_gutters_;
};

/// The same rule as StudyLayer::check_share, for what was set aside later.
void check_later(const Settings& settings, const GatherOptions& options, const GatheredInputs& gathered,
                 const std::string& part) {
  std::vector<geodata::SetAside> list;
  for (const report::SetAsideFeature& one : gathered.set_aside) {
    if (one.layer == part) {
      list.push_back({one.id, one.reason});
    }
  }
  const auto all = gathered.features.find(part);
  if (list.empty() || all == gathered.features.end()) {
    return;
  }
  const auto bad = static_cast<double>(list.size());
  if (options.strict) {
    throw InputError({"", part, list.front().id}, fmt::format("{} (--strict)", list.front().reason),
                     "no feature set aside (--strict)",
                     "mend or remove this feature, or run without --strict");
  }
  if (bad > settings.ground.max_set_aside * static_cast<double>(all->second)) {
    throw InputError(
        {"", part, ""},
        fmt::format("{} of {} features cannot be used{}", list.size(), all->second, worst_first(list)),
        fmt::format("at most {:g} % (ground.max_set_aside)", settings.ground.max_set_aside * 100.0),
        "mend the layer, or raise ground.max_set_aside if the rest is enough");
  }
}

}  // namespace

GatheredInputs gather_inputs(const Settings& settings, const GatherOptions& options) {
  return Gatherer(settings, options).gather();
}

void note_set_aside(const study::Preparation& preparation, const Settings& settings,
                    const GatherOptions& options, GatheredInputs& gathered) {
  const terrain::CurbField& field = preparation.maps.curbs;
  for (std::size_t i = 0; i < field.set_aside.size(); ++i) {
    const terrain::CurbLine& curb = gathered.inputs.curbs[static_cast<std::size_t>(field.set_aside[i])];
    gathered.set_aside.push_back(
        {"street.curbs", curb.id, field.set_aside_reason[i], base::line_shape(curb.line)});
  }
  for (const std::string& inlet : preparation.maps.street.set_aside_inlets) {
    const std::size_t colon = inlet.find(": ");
    report::SetAsideFeature feature{
        "street.inlets", inlet.substr(0, colon),
        colon == std::string::npos ? std::string("could not be used") : inlet.substr(colon + 2)};
    for (const street::Site& site : gathered.inputs.sites) {
      if (site.kind == street::SiteKind::Inlet && site.id == feature.id)
        feature.shape = base::point_shape(site.at);
    }
    gathered.set_aside.push_back(std::move(feature));
  }
  for (const char* part : {"street.curbs", "street.inlets"}) {
    check_later(settings, options, gathered, part);
    for (report::InputFile& file : gathered.files) {
      if (file.role == part) {
        file.set_aside = std::count_if(gathered.set_aside.begin(), gathered.set_aside.end(),
                                       [&](const report::SetAsideFeature& one) { return one.layer == part; });
      }
    }
  }
}

}  // namespace curbshed::cli
