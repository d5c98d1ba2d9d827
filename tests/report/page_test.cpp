#include "curbshed/report/page.hpp"

#include "curbshed/report/cautions.hpp"
#include "curbshed/report/ranking.hpp"

#include "support/small_facts.hpp"

#include <gtest/gtest.h>

namespace curbshed::report {
namespace {

using testing::SmallFacts;

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

std::size_t place_of(const std::string& text, const std::string& part) {
  const std::size_t at = text.find(part);
  EXPECT_NE(at, std::string::npos) << part;
  return at;
}

PageMap small_map() { return {{0.0, 10.0, 1.0, 10, 10}, "PNG"}; }

/// Every element that opens is closed, in order: what an XML reader asks first.
bool well_formed(const std::string& page) {
  std::vector<std::string> open;
  for (std::size_t i = page.find('<'); i != std::string::npos; i = page.find('<', i + 1)) {
    const std::size_t end = page.find('>', i);
    if (end == std::string::npos) return false;
    const std::string tag = page.substr(i + 1, end - i - 1);
    if (tag[0] == '!' || tag.back() == '/') continue;
    const std::string name =
        tag.substr(tag[0] == '/' ? 1 : 0, tag.find_first_of(" \n", 1) - (tag[0] == '/' ? 1 : 0));
    if (tag[0] != '/') {
      open.push_back(name);
    } else if (open.empty() || open.back() != name) {
      return false;
    } else {
      open.pop_back();
    }
  }
  return open.empty();
}

TEST(Page, SentencesThenRibbonsThenMapThenTable) {
  const SmallFacts run;
  const std::string page = page_html(run.facts, small_map(), Units::Metric);
  const std::size_t said = place_of(page, "In the common storm (10 mm of rain), the 2 basins take");
  const std::size_t ribbons = place_of(page, "class=\"ribbon\"");
  const std::size_t map = place_of(page, "class=\"map\"");
  const std::size_t table = place_of(page, "<table>");
  EXPECT_LT(said, ribbons);
  EXPECT_LT(ribbons, map);
  EXPECT_LT(map, table);
}

TEST(Page, IsOneFileThatFetchesAndRunsNothing) {
  const SmallFacts run;
  const std::string page = page_html(run.facts, small_map(), Units::Metric);
  EXPECT_FALSE(has(page, "<script"));
  EXPECT_FALSE(has(page, "http://") && !has(page, "http://www.w3.org/1999/xhtml"));
  EXPECT_FALSE(has(page, "https://"));
  EXPECT_TRUE(has(page, "data:image/png;base64,UE5H"));
  EXPECT_TRUE(well_formed(page));
}

TEST(Page, CarriesEveryCaution) {
  const SmallFacts run;
  const std::string page = page_html(run.facts, small_map(), Units::Metric);
  for (const std::string_view caution : cautions()) EXPECT_TRUE(has(page, std::string(caution))) << caution;
}

TEST(Page, NamesAreTextAndNeverMarkup) {
  SmallFacts run;
  run.settings.title = "<b>Kiln & Sons</b>";
  run.preparation.model.network.id[SmallFacts::kK1] = "K1<script>";
  const std::string page = page_html(run.facts, small_map(), Units::Metric);
  EXPECT_TRUE(has(page, "&lt;b&gt;Kiln &amp; Sons&lt;/b&gt;"));
  EXPECT_FALSE(has(page, "<script"));
  EXPECT_TRUE(well_formed(page));
}

TEST(Page, RanksByTheMeanYearWhereThereIsOne) {
  SmallFacts run;
  run.with(0, SmallFacts::kK1).captured_m3 = 5.0;
  run.with(0, SmallFacts::kK2).captured_m3 = 1.0;
  EXPECT_EQ(ranked_cuts(run.facts), (std::vector<std::int32_t>{SmallFacts::kK1, SmallFacts::kK2}));
  const study::YearlyWater year = SmallFacts::year();
  run.facts.year = &year;
  EXPECT_EQ(ranked_cuts(run.facts), (std::vector<std::int32_t>{SmallFacts::kK2, SmallFacts::kK1}));
  EXPECT_TRUE(has(page_html(run.facts, small_map(), Units::Metric), "In a mean year with 200 mm of rain"));
}

TEST(Page, SameFactsSameBytes) {
  const SmallFacts run;
  EXPECT_EQ(page_html(run.facts, small_map(), Units::Us), page_html(run.facts, small_map(), Units::Us));
}

}  // namespace
}  // namespace curbshed::report
