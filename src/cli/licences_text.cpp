#include "curbshed/cli/licences_text.hpp"

#include <string_view>

#include <fmt/format.h>

namespace curbshed::cli {
namespace {

struct Library {
  std::string_view name;
  std::string_view terms;  ///< SPDX
  std::string_view notice;
  std::string_view how;  ///< how it gets into the program
};

constexpr std::string_view kCompiled = "compiled in";
constexpr std::string_view kLinked = "linked when the program starts; the system's package brings its text";

/// Notices as in the copyright files of Debian 12's packages.
constexpr Library kLibraries[] = {
    {"CLI11", "BSD-3-Clause",
     "Copyright 2017-2020 University of Cincinnati, developed by Henry Schreiner under NSF AWARD 1414736",
     kCompiled},
    {"toml++", "MIT", "Copyright 2020-2022 Mark Gillard", kCompiled},
    {"nlohmann-json", "MIT",
     "Copyright 2013-2022 Niels Lohmann; to_chars: 2009 Florian Loitsch; UTF-8 decoder: 2008-2009 Bjoern "
     "Hoehrmann",
     kCompiled},
    {"Boost.Graph, Boost.Geometry", "BSL-1.0", "Copyright of the Boost authors, as in each header",
     kCompiled},
    {"spdlog", "MIT", "Copyright 2014-2016 Gabi Melman", kCompiled},
    {"fmt", "MIT", "Copyright 2012-2020 Victor Zverovich; no notice is asked for what is compiled in",
     kLinked},
    {"GDAL", "MIT",
     "Copyright of Frank Warmerdam, Even Rouault and other authors; parts have other free terms", kLinked},
    {"PROJ", "MIT", "Copyright of Frank Warmerdam, Even Rouault and other authors", kLinked},
    {"GEOS", "LGPL-2.1-or-later",
     "Copyright of its authors; unchanged, and may be exchanged for another version", kLinked},
    {"oneTBB", "Apache-2.0", "Copyright 2005-2021 Intel Corporation", kLinked},
    {"OpenSSL", "Apache-2.0", "Copyright 1995-2020 The OpenSSL Project Authors", kLinked},
};

constexpr std::string_view kMit =
    R"(Permission is hereby granted, free of charge, to any person obtaining a copy
of this software and associated documentation files (the "Software"), to deal
in the Software without restriction, including without limitation the rights
to use, copy, modify, merge, publish, distribute, sublicense, and/or sell
copies of the Software, and to permit persons to whom the Software is
furnished to do so, subject to the following conditions:

The above copyright notice and this permission notice shall be included in all
copies or substantial portions of the Software.

THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR
IMPLIED, INCLUDING BUT NOT LIMITED TO THE WARRANTIES OF MERCHANTABILITY,
FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT SHALL THE
AUTHORS OR COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM, DAMAGES OR OTHER
LIABILITY, WHETHER IN AN ACTION OF CONTRACT, TORT OR OTHERWISE, ARISING FROM,
OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN THE
SOFTWARE.
)";

constexpr std::string_view kBsd =
    R"(Redistribution and use in source and binary forms, with or without modification,
are permitted provided that the following conditions are met:

1. Redistributions of source code must retain the above copyright notice, this
   list of conditions and the following disclaimer.
2. Redistributions in binary form must reproduce the above copyright notice,
   this list of conditions and the following disclaimer in the documentation
   and/or other materials provided with the distribution.
3. Neither the name of the copyright holder nor the names of its contributors
   may be used to endorse or promote products derived from this software
   without specific prior written permission.

THIS SOFTWARE IS PROVIDED BY THE COPYRIGHT HOLDERS AND CONTRIBUTORS "AS IS" AND
ANY EXPRESS OR IMPLIED WARRANTIES, INCLUDING, BUT NOT LIMITED TO, THE IMPLIED
WARRANTIES OF MERCHANTABILITY AND FITNESS FOR A PARTICULAR PURPOSE ARE
DISCLAIMED. IN NO EVENT SHALL THE COPYRIGHT HOLDER OR CONTRIBUTORS BE LIABLE FOR
ANY DIRECT, INDIRECT, INCIDENTAL, SPECIAL, EXEMPLARY, OR CONSEQUENTIAL DAMAGES
(INCLUDING, BUT NOT LIMITED TO, PROCUREMENT OF SUBSTITUTE GOODS OR SERVICES;
LOSS OF USE, DATA, OR PROFITS; OR BUSINESS INTERRUPTION) HOWEVER CAUSED AND ON
ANY THEORY OF LIABILITY, WHETHER IN CONTRACT, STRICT LIABILITY, OR TORT
(INCLUDING NEGLIGENCE OR OTHERWISE) ARISING IN ANY WAY OUT OF THE USE OF THIS
SOFTWARE, EVEN IF ADVISED OF THE POSSIBILITY OF SUCH DAMAGE.
)";

constexpr std::string_view kElsewhere =
    "Apache-2.0 and LGPL-2.1: on a Debian system in /usr/share/common-licenses/; on others with the packages "
    "of the\nlibraries. BSL-1.0: asks for no notice in a program; its text is in every Boost package.\n";

constexpr std::string_view kOurs =
    "curbshed is under the MIT licence; its text is the file LICENSE of the source.";

}  // namespace

std::string licences_text() {
  std::string text = fmt::format("{}\n\nIt stands on these libraries:\n\n", kOurs);
  for (const Library& library : kLibraries) {
    text += fmt::format("{}: {}\n  {}\n  {}\n", library.name, library.terms, library.notice, library.how);
  }
  return text + fmt::format("\n--- MIT ---\n\n{}\n--- BSD-3-Clause ---\n\n{}\n{}", kMit, kBsd, kElsewhere);
}

std::string licences_page() {
  std::string text = fmt::format(
      "# Whose work is in it\n\n<!-- Printed from src/cli/licences_text.cpp. Do not edit: run "
      "CURBSHED_WRITE_DOCS=1 "
      "with the test\n     cli.LicencesText.IsTheCommittedPage. -->\n\n{} `curbshed licences` prints the "
      "notices "
      "and the texts.\n\n| library | terms | notice | how it gets in |\n|---|---|---|---|\n",
      kOurs);
  for (const Library& library : kLibraries) {
    text += fmt::format("| {} | {} | {} | {} |\n", library.name, library.terms, library.notice, library.how);
  }
  return text +
         "\nFor tests only, in no program: GoogleTest (BSD-3-Clause), Google Benchmark (Apache-2.0), "
         "valijson "
         "(BSD-2-Clause). Tests run COIN-OR CBC (EPL-2.0) as a program of its own.\n";
}

}  // namespace curbshed::cli
