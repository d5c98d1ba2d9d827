// Colours and shapes of the page.
#pragma once

#include <string_view>

namespace curbshed::report {

inline constexpr std::string_view kPageStyle = R"css(
:root{--paper:#fbf8f2;--ink:#26221d;--soft:#5c544a;--line:#cfc6b6;--water:#2b6a8c;--earth:#8a5a22;--area:#c9e0ea}
*{box-sizing:border-box}
body{margin:0;background:var(--paper);color:var(--ink);font:17px/1.5 Georgia,"DejaVu Serif",serif}
main{max-width:62rem;margin:0 auto;padding:1.2rem 1rem 3rem}
h1{font-size:1.9rem;line-height:1.2;margin:.4rem 0 1rem}
h2{font-size:1.3rem;margin:2.4rem 0 .5rem;border-top:2px solid var(--ink);padding-top:.5rem}
h3{font-size:1.02rem;margin:1.3rem 0 .1rem}
.say p{font-size:1.18rem;margin:.5rem 0}
.mind{border-left:6px solid var(--earth);padding:.1rem 0 .1rem 1rem;margin:1.2rem 0}
.worse{border-left:6px solid #9c1c1c;padding-left:1rem;color:#9c1c1c;font-weight:bold}
.small{color:var(--soft);font-size:.92rem;margin:.2rem 0 .6rem}
svg{display:block;width:100%;height:auto}
svg text{font:12px "DejaVu Sans",Verdana,sans-serif;fill:var(--ink)}
.ribbon{margin:.2rem 0 .4rem;width:auto;max-width:none}
.ribbon .curb{stroke:var(--ink);stroke-width:2.5}
.ribbon .water{fill:#8fbdd2;stroke:var(--water);stroke-width:1}
.ribbon .before{fill:none;stroke:var(--ink);stroke-width:1.4;stroke-dasharray:5 4}
.ribbon .bite{fill:var(--earth)}
.ribbon .other{stroke:var(--ink);stroke-width:3}
.ribbon .tape{stroke:var(--soft);stroke-width:.8;fill:none}
.ribbon .leader,.ribbon .tick{stroke:var(--soft);stroke-width:.8;fill:none}
.ribbons{overflow-x:auto;display:flex;flex-wrap:wrap;gap:0 2.2rem}
.ribbons h3{max-width:26rem}
.map{border:1px solid var(--line);background:#fff}
.map .relief{opacity:.75}
.map .area{fill:#5aa0c2;fill-opacity:.3;stroke:var(--water);stroke-width:9;stroke-dasharray:40 22}
.map .curbs{fill:none;stroke:var(--ink);stroke-width:12}
.map .gutters{fill:none;stroke:var(--water);stroke-width:22}
.map .overflow{fill:none;stroke:#b5651d;stroke-width:14;stroke-dasharray:40 24}
.map .basins{fill:var(--earth);stroke:#3c2508;stroke-width:8}
.map .cut rect,.map .cut circle{fill:#fffdf8;stroke:var(--ink);stroke-width:1.5}
.map .cut text{text-anchor:middle;font-weight:bold}
.map .inlet,.map .outfall,.map .sag{fill:#fffdf8;stroke:var(--ink);stroke-width:2}
.map .sag{stroke-dasharray:3 2}
.map .paper{fill:#fffdf8;fill-opacity:.85}
.map .scale path{fill:none;stroke:var(--ink);stroke-width:2.5}
.map .scale text,.map .north text{text-anchor:middle}
.map .scale text{font-size:16px}
table{border-collapse:collapse;width:100%;font:15px/1.35 "DejaVu Sans",Verdana,sans-serif;margin:.5rem 0}
th,td{text-align:left;vertical-align:top;padding:.4rem .5rem;border-bottom:1px solid var(--line)}
th{border-bottom:2px solid var(--ink)}
.n{text-align:right;white-space:nowrap}
td small{display:block;color:var(--soft)}
ul{padding-left:1.2rem}
@media (max-width:640px){
body{font-size:16px}
h1{font-size:1.5rem}
thead{position:absolute;left:-9999px}
tr{display:block;border-bottom:2px solid var(--ink);padding:.5rem 0}
td{display:flex;justify-content:space-between;gap:1rem;border:0;padding:.15rem 0;text-align:right}
td::before{content:attr(data-label);color:var(--soft);text-align:left}
td.who{display:block;text-align:left;font-weight:bold}
td.who::before{content:"" }
td small{font-weight:normal}
}
@media print{
body{background:#fff;font-size:11pt}
main{max-width:none;padding:0}
h2,h3,h2+.small{break-after:avoid}
figure,tr,.ribbon,.mind{break-inside:avoid}
.ribbons{display:block;columns:2}
.ribbons figure{margin:0 0 .5rem}
.ribbons h3{margin:.4rem 0 0;font-size:9pt}
.ribbon{height:auto;max-width:100%}
.small,figcaption.small{font-size:8pt}
table{font-size:7.5pt;line-height:1.25}
th,td{padding:.15rem .3rem}
td.who{min-width:17em}
td small{font-size:7pt}
svg *{-webkit-print-color-adjust:exact;print-color-adjust:exact}
}
figure{margin:0 0 1rem}
)css";

}  // namespace curbshed::report
