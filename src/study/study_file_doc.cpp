#include "curbshed/study/study_file_doc.hpp"

#include "curbshed/study/study_keys.hpp"

#include <fmt/format.h>

namespace curbshed::study {
namespace {

constexpr std::string_view kTop = R"(# The study file

<!-- Made from the key table in src/study/study_keys.cpp. Do not edit: change the table, then run
     CURBSHED_WRITE_DOCS=1 and the test study.StudyFileDoc.IsTheCommittedPage. -->

A study is one TOML file. It names the layers, and says what differs from the defaults. Paths are relative to the
folder of the study file; absolute paths and anything else that GDAL opens (`/vsizip/…`, a database) work, too.

- `format = 1` is the first key.
- Whatever has a unit is text with its unit: `opening = "18 in"`, `infiltration = "25 mm/h"`. A bare number is an error.
- Slopes and shares are a number or a percentage: `0.02` or `"2 %"`.
- A key that is not listed here is an error. The message names the line and the nearest key that exists.
- A flag of the command line counts before an environment variable, that before the study, that before the default.
  `manifest.json` says where each value came from.

A small study:

```toml
format = 1
title = "Kiln Street"

[ground]
elevation = "elevation.tif"

[street.pavement]
file = "street.gpkg"
layer = "pavement"

[street.curbs]
file = "street.gpkg"
layer = "curbs"
where = "status = 'built'"
fields = { kind = "KIND", height = { field = "H_IN", unit = "in" }, street = "STREET", side = "SIDE" }
classes = { barrier = "vertical", mountable = "rolled" }

[street.cuts]
file = "cuts.csv"
fields = { id = "name", x = "east", y = "north" }

[rain]
two_year_1h = "22 mm"
ten_year_1h = "36 mm"

[basin]
infiltration = "25 mm/h"
infiltration_origin = "measured"
```
)";

constexpr std::string_view kLayers = R"(
## Layers

Each layer is a table of its own with these keys:

| key | what it is |
|---|---|
| `file` | the file; required |
| `layer` | the layer in it; needed when there are several |
| `where` | a filter in SQL: `status = 'built'` |
| `crs` | coordinate system of the layer where the file states none or a wrong one: `EPSG:4326` for longitude (x) and latitude (y) in a CSV file |
| `fields` | our attribute → their field: `{ id = "NAME" }`, with a unit for numbers: `{ height = { field = "H_IN", unit = "in" } }` |
| `classes` | their value → our word: `{ barrier = "vertical" }` |

Attributes without an entry in `fields` are taken from a field of our name if the layer has one. A field may hold
numbers (then `unit` says theirs) or text with the unit in it (`6 in`). An absent value takes the default.

What a person placed by hand (cuts, outfalls) must be right: a bad feature stops the run with its name. Features of
the other layers that cannot be used are set aside, counted and listed with the reason; above `ground.max_set_aside` of
a layer the run stops.

Points in a CSV file say where they are in one of these ways; a way that is filled in besides must agree:

- `x` and `y`: in the layer's `crs`, else in the reference system of the elevation model and its unit;
- `longitude` and `latitude`: WGS 84, as a phone shows them (a phone is 3 to 10 m off: better measure);
- `place`: `Kiln Street, north side, 56 ft 9 in from Lantern Street toward Adobe Lane`, as our own tables write it;
- `street`, `side`, `corner`, `distance`, and `toward` where two blocks meet at the corner.

**Where the tape starts.** At the corner, the face of the cross street's curb, carried straight on, meets the face of
your street's curb, carried straight on. To find the place, stand at the cross street's curb, look along its straight part
past the corner, and mark where that line comes to your street's curb line. From there the tape runs along the curb: round
bends, through driveways. The end is then as far off the round corner as the corner is round, whoever measures. In the
curve itself the tape follows the curb back, so a place round the corner may read less than 0. Where no straight cross
curb can be looked along (a dead end, two streets that run on into each other, a curved corner without 5 m of straight
curb within 30 m) the tape starts at the end of the curb as it is drawn, and the corner is then called by the cross
street if there is one, else `west end`, `east end`, `north end` or `south end`.

Cuts may also stand in the study itself, each in a table of its own with the same attributes:

```toml
[[street.cut]]
id = "K7"
street = "Kiln Street"
side = "north"
corner = "Lantern Street"
toward = "Adobe Lane"
distance = "56 ft 9 in"
```

**What you measured.** Go to the cuts with a tape, a level and a shovel, and write what you find into a spreadsheet; save it
as CSV and name it in the study. Each row names its cut in the column `cut` (as the tables of the results do) or says where it
is like any point; fill what you measured, leave the rest empty:

```
cut,grade,curb_height,rim_below_curb,infiltration,method,date,water,words
K7,0.9 %,5.5 in,1 in,,string and level,3 May,,
K7,,,,0.8 in/h,"1 ft hole, third filling",9 May,,caliche at 2 ft
K2,,,,,,14 July,no,"rained hard, gutter dry"
```

```toml
[street.field]
file = "field.csv"
```

A measured value counts for that cut instead of the fitted or assumed one; `cuts.csv` and `basins.csv` say beside each value
where it comes from (measured, fitted, study), `manifest.json` what it replaced and by which row. The same value twice for a
cut, a name that is no cut and a value out of range are errors that name the row. Columns of other names are mapped with
`fields`, units in the heading with `unit`. Where somebody saw no water although `street.dry_area` or more should drain to the
place, that is the first thing every output says; a `yes` on another day takes it back.
)";

std::string code(std::string_view text) { return text.empty() ? std::string() : fmt::format("`{}`", text); }

std::string words_of(const std::vector<std::string_view>& words) {
  std::string list;
  for (const std::string_view word : words) {
    list += (list.empty() ? "" : ", ") + code(word);
  }
  return list;
}

std::string allowed_of(const StudyKey& key) {
  switch (key.form) {
    case KeyForm::Text:
      return "text";
    case KeyForm::Choice:
      return words_of(key.choices);
    case KeyForm::Switch:
      return "`true`, `false`";
    case KeyForm::Numbers:
      return "list of numbers";
    case KeyForm::Words:
      return "list of texts";
    case KeyForm::Months:
      return fmt::format("12 values of {} to {}", key.least, key.most);
    case KeyForm::Measure:
      return fmt::format("{} to {}", key.least, key.most);
  }
  return {};
}

std::string keys_of(std::string_view part) {
  std::string text = "\n| key | default | allowed | what it is |\n|---|---|---|---|\n";
  for (const StudyKey& key : study_keys()) {
    if (key.part == part) {
      const std::string fallback = key.required           ? "required"
                                   : key.fallback.empty() ? "–"
                                                          : std::string(key.fallback);
      text += fmt::format("| `{}` | {} | {} | {} |\n", key.name, fallback, allowed_of(key), key.doc);
    }
  }
  return text;
}

std::string field_form(const FieldKey& field) {
  if (!field.measure) {
    return "text";
  }
  return field.least.empty() ? "number" : fmt::format("{} to {}", field.least, field.most);
}

std::string layer_text(const LayerKey& layer) {
  std::string text = fmt::format("\n### `[{}]` ({}{})\n\n{}\n\n", layer.part, layer.shape,
                                 layer.required ? ", required" : "", layer.doc);
  if (!layer.row_part.empty()) {
    text += fmt::format("In the study itself: `[[{}]]`.\n\n", layer.row_part);
  }
  text += "| attribute | form | what it is |\n|---|---|---|\n";
  for (const FieldKey& field : layer.fields) {
    text += fmt::format("| `{}` | {} | {} |\n", field.name, field_form(field), field.doc);
  }
  if (!layer.classes.empty()) {
    text += fmt::format("\nWords of `{}`: {}.\n", layer.classed_field, words_of(layer.classes));
  }
  return text;
}

std::string units_text() {
  using enum base::Dimension;
  std::string text = "\n## Units\n\n| of | units |\n|---|---|\n";
  const std::pair<std::string_view, base::Dimension> rows[] = {
      {"lengths", Length}, {"areas", Area},
      {"times", Duration}, {"rain and infiltration", Rate},
      {"flows", Flow},     {"slopes and shares", Slope}};
  for (const auto& row : rows) {
    text += fmt::format("| {} | {} |\n", row.first, base::units_of(row.second));
  }
  return text + "\n`ft` is the international foot (0.3048 m), `usft` the US survey foot (1200/3937 m).\n";
}

}  // namespace

std::string study_file_doc() {
  std::string text(kTop);
  text += "\n## Before the first part\n" + keys_of("");
  for (const StudyPart& part : study_parts()) {
    text += fmt::format("\n## `[{}]`\n\n{}\n", part.name, part.doc) + keys_of(part.name);
    if (part.name == "rain") {
      text +=
          "\n### `[[rain.storm]]`\n\nFurther storms, each with a table of its own.\n" + keys_of("rain.storm");
    }
  }
  text += kLayers;
  for (const LayerKey& layer : study_layers()) {
    text += layer_text(layer);
  }
  return text + units_text();
}

}  // namespace curbshed::study
