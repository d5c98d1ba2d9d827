#include "curbshed/cli/gather_inputs.hpp"

#include "curbshed/cli/centreline_layer.hpp"
#include "curbshed/cli/ground_classes.hpp"

#include <algorithm>
#include <set>

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
    read_cuts();
    read_inlets();
    read_outfalls();
    cover_.yards = read_classed(settings_.lots.lots, "lots.lots", "yard");
    cover_.buildings = read_polygons(settings_.lots.buildings, "lots.buildings");
    cover_.surfaces = read_classed(settings_.lots.surfaces, "lots.surfaces", "surface");
    cover_.soil_groups = read_classed(settings_.soil.groups, "soil.groups", "group");
    classify_ground(cover_, settings_, out_.inputs);
    return std::move(out_);
  }

 private:
  void read_ground() {
    geodata::GroundSource source;
    source.file = path_in_study(settings_, settings_.ground.elevation);
    source.height_unit = settings_.ground.height_unit;
    source.bytes_a_cell = kBytesACell;
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
    for (const geodata::SetAside& one : layer.set_aside()) {
      out_.set_aside.push_back({std::string(layer.part()), one.id, one.reason});
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
    const auto& keys = study::study_layers();
    const auto key =
        std::find_if(keys.begin(), keys.end(), [&](const study::LayerKey& one) { return one.part == part; });
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      const std::string value = layer.text(row, field);
      const auto known = std::find(key->classes.begin(), key->classes.end(), value);
      if (known != key->classes.end()) {
        polygons.shapes.push_back(layer.shape(row));
        polygons.classes.push_back(value);
      } else if (!value.empty()) {
        layer.set_aside(
            row, fmt::format("the {} \"{}\" is not a class of ours and not in `classes`", field, value));
      }  // absent: what lies below stays
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
        std::size_t part = 1;
        for (const base::Polyline& line : layer.shape(row).lines) {
          if (clip_ && !base::meets(*clip_, base::line_shape(line))) {
            ++part;
            continue;
          }
          curbs.push_back(curb);
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

  static terrain::CurbLine curb_of(const StudyLayer& layer, std::size_t row) {
    using terrain::CurbKind;
    using terrain::StreetSide;
    terrain::CurbLine curb;
    curb.id = layer.id(row);
    curb.street = layer.text(row, "street");
    curb.side = layer.text(row, "side");
    curb.height_m = layer.measure(row, "height");
    const std::pair<std::string_view, CurbKind> kinds[] = {
        {"", CurbKind::Vertical},   {"vertical", CurbKind::Vertical}, {"rolled", CurbKind::Rolled},
        {"flush", CurbKind::Flush}, {"none", CurbKind::None},         {"gap", CurbKind::Gap}};
    const std::string kind = layer.text(row, "kind");
    const auto known =
        std::find_if(std::begin(kinds), std::end(kinds), [&](const auto& one) { return one.first == kind; });
    if (known == std::end(kinds)) {
      throw InputError({}, fmt::format("the kind \"{}\" is not one of ours and not in `classes`", kind), "",
                       "");
    }
    curb.kind = known->second;
    const std::string side = layer.text(row, "street_side");
    if (!side.empty() && side != "left" && side != "right") {
      throw InputError({}, fmt::format("the street side \"{}\" is neither left nor right", side), "", "");
    }
    curb.street_side = side == "left"    ? StreetSide::Left
                       : side == "right" ? StreetSide::Right
                                         : StreetSide::Unknown;
    return curb;
  }

  static base::Point one_point(const StudyLayer& layer, std::size_t row) {
    if (layer.shape(row).points.size() != 1) {
      throw InputError(layer.where(row),
                       fmt::format("the feature has {} points", layer.shape(row).points.size()), "one point",
                       "make it one feature a place");
    }
    return layer.shape(row).points.front();
  }

  street::Site site_of(const StudyLayer& layer, std::size_t row, street::SiteKind kind) {
    street::Site site;
    site.kind = kind;
    site.id = layer.id(row);
    site.at = one_point(layer, row);
    site.source = layer.layer().source.empty() ? std::string(layer.part()) : layer.layer().source;
    return site;
  }

  void require_name(const StudyLayer& layer, std::size_t row, std::set<std::string>& names) {
    if (!layer.has_id_field() || layer.text(row, "id").empty()) {
      throw InputError(layer.where(row), "the feature has no name", "a name, each one once",
                       "fill the field `id`, or map yours: fields = { id = \"NAME\" }");
    }
    if (!names.insert(layer.id(row)).second) {
      throw InputError(layer.where(row), fmt::format("the name \"{}\" is there twice", layer.id(row)),
                       "each name once", "rename one of the two");
    }
  }

  void read_cuts() {
    const StudyLayer layer = open("street.cuts", true);
    std::set<std::string> names;
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      require_name(layer, row, names);
      street::Site site = site_of(layer, row, street::SiteKind::Cut);
      if (options_.place && !base::meets(*options_.place, base::point_shape(site.at))) {
        throw InputError(layer.where(row), "the cut lies outside the study's place",
                         "a cut in [place] or its margin",
                         "move the cut, leave it out with `where`, or make [place] larger");
      }
      site.grade = layer.measure(row, "grade");
      site.cross_slope = layer.measure(row, "cross_slope");
      study::SiteOverrides overrides;
      overrides.opening_m = layer.measure(row, "opening");
      overrides.clogging = layer.measure(row, "clogging");
      overrides.basin_length_m = layer.measure(row, "basin_length");
      overrides.basin_width_m = layer.measure(row, "basin_width");
      overrides.side_slope = layer.measure(row, "side_slope");
      overrides.ponding_m = layer.measure(row, "ponding");
      overrides.setback_m = layer.measure(row, "setback");
      overrides.mouth_at = layer.measure(row, "mouth_at");
      overrides.infiltration_m_s = layer.measure(row, "infiltration");
      overrides.words = layer.text(row, "words");
      check_floor(layer.where(row), overrides);
      add_site(std::move(site), std::move(overrides));
    }
    close(layer);
  }

  void check_floor(const base::Where& where, const study::SiteOverrides& overrides) const {
    const study::BasinSettings& basin = settings_.basin;
    const double narrower_m =
        2.0 * overrides.side_slope.value_or(basin.side_slope) * overrides.ponding_m.value_or(basin.ponding_m);
    const double side_m = std::min(overrides.basin_length_m.value_or(basin.length_m),
                                   overrides.basin_width_m.value_or(basin.width_m));
    if (narrower_m >= side_m) {
      throw InputError(
          where,
          fmt::format("the basin has no floor: 2 × side_slope × ponding = {:.3f} m, and its shorter side is "
                      "{:.3f} m",
                      narrower_m, side_m),
          "2 × side_slope × ponding below length and width", "make it wider, steeper or shallower");
    }
  }

  void read_inlets() {
    out_.inputs.inlets_given = settings_.street.inlets.given();
    if (!out_.inputs.inlets_given) {
      return;
    }
    StudyLayer layer = open("street.inlets", false);
    std::set<std::string> names;
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      try {
        street::Site site = site_of(layer, row, street::SiteKind::Inlet);
        if (!names.insert(site.id).second) {
          throw InputError({}, fmt::format("the name \"{}\" is there twice", site.id), "", "");
        }
        study::SiteOverrides overrides;
        overrides.opening_m = layer.measure(row, "length");
        overrides.clogging = layer.measure(row, "clogging");
        overrides.pipe_limit_m3_s = layer.measure(row, "pipe_limit");
        add_site(std::move(site), std::move(overrides));
      } catch (const InputError& error) {
        layer.set_aside(row, error.met());
      }
    }
    close(layer);
  }

  void read_outfalls() {
    if (!settings_.street.outfalls.given()) {
      return;
    }
    const StudyLayer layer = open("street.outfalls", true);
    std::set<std::string> names;
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      require_name(layer, row, names);
      if (clip_ && !base::meets(*clip_, layer.shape(row))) {
        continue;  // of another part of the town
      }
      study::SiteOverrides overrides;
      overrides.words = layer.text(row, "words");
      add_site(site_of(layer, row, street::SiteKind::Outfall), std::move(overrides));
    }
    close(layer);
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
};

/// The same rule as StudyLayer::check_share, for what was set aside later.
void check_later(const Settings& settings, const GatherOptions& options, const GatheredInputs& gathered,
                 const std::string& part) {
  std::int64_t bad = 0;
  const report::SetAsideFeature* first = nullptr;
  for (const report::SetAsideFeature& one : gathered.set_aside) {
    if (one.layer == part) {
      ++bad;
      first = first == nullptr ? &one : first;
    }
  }
  const auto all = gathered.features.find(part);
  if (bad == 0 || all == gathered.features.end()) {
    return;
  }
  if (options.strict ||
      static_cast<double>(bad) > settings.ground.max_set_aside * static_cast<double>(all->second)) {
    throw InputError({"", part, first->id},
                     fmt::format("{} ({} of {} features cannot be used)", first->reason, bad, all->second),
                     options.strict ? "no feature set aside (--strict)"
                                    : fmt::format("at most {:g} % (ground.max_set_aside)",
                                                  settings.ground.max_set_aside * 100.0),
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
    gathered.set_aside.push_back({"street.curbs", curb.id, field.set_aside_reason[i]});
  }
  for (const std::string& inlet : preparation.maps.street.set_aside_inlets) {
    const std::size_t colon = inlet.find(": ");
    gathered.set_aside.push_back(
        {"street.inlets", inlet.substr(0, colon),
         colon == std::string::npos ? std::string("could not be used") : inlet.substr(colon + 2)});
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
