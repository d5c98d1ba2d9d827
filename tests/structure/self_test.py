"""Feeds each check a bad tree and sees that it fails: a check that cannot fail guards nothing.

usage: self_test.py ROOT COMPILER
"""
import json
import os
import pathlib
import subprocess
import sys
import tempfile
import unittest

ROOT, COMPILER = pathlib.Path(sys.argv[1]), sys.argv[2]
CHECKS = ROOT / "scripts/checks"
sys.path.insert(0, str(CHECKS))
import bench_ratios  # noqa: E402
import include_arrows  # noqa: E402
import layout  # noqa: E402
import no_host  # noqa: E402


def write(root, files):
    for name, text in files.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


def run(*command, **more):
    return subprocess.run([str(word) for word in command], capture_output=True, text=True, check=False, **more)


class TreeCase(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.tree = pathlib.Path(folder.name)


class IncludeArrows(TreeCase):
    def problems(self, files):
        write(self.tree, files)
        return include_arrows.check(self.tree)[1]

    def test_allowed_arrows_pass(self):
        self.assertEqual(self.problems({
            "include/curbshed/water/a.hpp": '#pragma once\n#include "curbshed/base/a.hpp"\n#include <vector>\n',
            "src/study/a.cpp": '#include "curbshed/water/a.hpp"\n#include "own.hpp"\n#include <toml++/toml.h>\n',
            "src/study/own.hpp": "#pragma once\n",
            "src/geodata/a.cpp": "#include <gdal_priv.h>\n#include <ogrsf_frmts.h>\n#include <proj.h>\n",
            "src/street/a.cpp": "#include <boost/graph/adjacency_list.hpp>\n// #include <gdal.h>\n",
            "src/base/version.cpp": '#include "curbshed/base/version_number.hpp"\n',
        }), [])

    def test_each_bad_arrow_fails(self):
        for name, line in {
            "src/water/a.cpp": '#include "curbshed/terrain/grid.hpp"',
            "src/base/a.cpp": '#include "curbshed/water/a.hpp"',
            "src/geodata/a.cpp": '#include "curbshed/street/a.hpp"',
            "src/report/a.cpp": "#include <gdal_priv.h>",
            "src/street/a.cpp": '#include "curbshed/study/a.hpp"',
            "src/study/a.cpp": "#include <nlohmann/json.hpp>",
            "src/terrain/a.cpp": "#include <boost/graph/adjacency_list.hpp>",
            "src/street/b.cpp": "#  include  <tbb/parallel_for.h>",
            "include/curbshed/street/c.hpp": "#include <boost/graph/graph_traits.hpp>",
            "include/curbshed/base/d.hpp": '#include "private.hpp"',
            "src/study/e.cpp": '#include "../water/private.hpp"',
            "src/water/f.cpp": '#include "curbshed/ponds/a.hpp"',
            "src/water/g.cpp": "#include <unistd.h>",
            "src/water/h.cpp": "#include <eigen3/Eigen/Dense>",
            "src/water/i.cpp": "#include WHICH_HEADER",
            "src/cli/j.cpp": '#include "curbshed/base/version_number.hpp"',
            "src/ponds/k.cpp": "#include <vector>",
        }.items():
            with self.subTest(name=name, line=line), tempfile.TemporaryDirectory() as folder:
                root = pathlib.Path(folder)
                write(root, {name: line + "\n"})
                self.assertEqual(len(include_arrows.check(root)[1]), 1)

    def test_one_unit_a_heavy_header(self):
        for product, layer, count in (("toml++/toml.h", "study", 2), ("tbb/tbb.h", "base", 2), ("CLI/CLI.hpp", "cli", 3)):
            with self.subTest(product=product), tempfile.TemporaryDirectory() as folder:
                root = pathlib.Path(folder)
                write(root, {f"src/{layer}/u{i}.cpp": f"#include <{product}>\n" for i in range(count)})
                self.assertEqual(len(include_arrows.check(root)[1]), 1)


class Layout(TreeCase):
    GOOD = {
        **{name: "" for name in ("README.md", "DEVELOPERS.md", "CMakeLists.txt", "LICENSE", "docs/a.md",
                                 "sample-rasters/a.txt", "scripts/a.sh", ".gitignore", "build/junk")},
        "include/curbshed/base/x.hpp": "", "src/base/x.cpp": "", "tests/base/x_test.cpp": "",
        "src/CMakeLists.txt": "curbshed_layer(base SOURCES x.cpp DEPENDS none)\n",
        "tests/CMakeLists.txt": "curbshed_layer_tests(base SOURCES x_test.cpp)\n",
        "tests/structure/layout_exceptions.txt": "# none\n",
    }

    def problems(self, more):
        write(self.tree, {**self.GOOD, **more})
        return layout.check(self.tree)

    def test_good_tree_passes(self):
        self.assertEqual(self.problems({}), [])

    def test_stray_file_at_the_top(self):
        self.assertEqual(self.problems({"NOTES.md": ""}), ["top level: NOTES.md is not one of the agreed names"])

    def test_source_that_is_in_no_list(self):
        found = self.problems({"include/curbshed/base/y.hpp": "", "src/base/y.cpp": "", "tests/base/y_test.cpp": ""})
        self.assertEqual(len(found), 2)

    def test_listed_source_that_is_gone(self):
        found = self.problems({"src/CMakeLists.txt": "curbshed_layer(base SOURCES x.cpp gone.cpp)\n"})
        self.assertEqual(len(found), 1)

    def test_header_without_source_and_test(self):
        self.assertEqual(len(self.problems({"include/curbshed/water/y.hpp": ""})), 2)

    def test_private_pair_needs_no_test_of_its_own(self):
        lists = {"src/CMakeLists.txt": "curbshed_layer(base SOURCES x.cpp p.cpp)\n"}
        self.assertEqual(self.problems({**lists, "src/base/p.cpp": "", "src/base/p.hpp": ""}), [])

    def test_source_without_header(self):
        lists = {"src/CMakeLists.txt": "curbshed_layer(base SOURCES x.cpp p.cpp)\n"}
        self.assertEqual(len(self.problems({**lists, "src/base/p.cpp": ""})), 2)  # nor has it a test

    def test_exception_covers_it(self):
        self.assertEqual(self.problems({
            "include/curbshed/water/y.hpp": "",
            "tests/structure/layout_exceptions.txt":
                "no-source water/y: only types\nno-test water/y: only types\n"}), [])

    def test_exception_that_nothing_needs(self):
        self.assertEqual(len(self.problems({
            "tests/structure/layout_exceptions.txt": "no-source water/z: gone\n"})), 1)

    def test_exception_without_reason(self):
        with self.assertRaises(SystemExit):
            self.problems({"tests/structure/layout_exceptions.txt": "no-source water/z:\n"})


class NoHost(TreeCase):
    def test_sources(self):
        write(self.tree, {"src/base/a.cpp": "// __DATE__ in a comment is harmless\nint a;\n"})
        self.assertEqual(no_host.check_sources(self.tree), [])
        for line in ("const char* when = __DATE__;", "gethostname(name, 64);",
                     "auto now = std::chrono::system_clock::now();", "auto now = std::time(nullptr);"):
            with self.subTest(line=line):
                write(self.tree, {"src/base/a.cpp": line + "\n"})
                self.assertEqual(len(no_host.check_sources(self.tree)), 1)

    def test_program(self):
        write(self.tree, {"program": "\0\0/work/place/of/the/build\0\0harmless text\0"})
        self.assertEqual(len(no_host.check_program(self.tree / "program", ["/work/"])), 1)
        self.assertEqual(no_host.check_program(self.tree / "program", ["/home/"]), [])


class MustNotCompile(TreeCase):
    def outcome(self, text):
        write(self.tree, {"case.cpp": text})
        return run("/usr/bin/python3", CHECKS / "must_not_compile.py", COMPILER, ROOT, self.tree / "case.cpp").returncode

    def test_outcomes(self):
        self.assertEqual(self.outcome("// error: nonsense\n#ifdef MUST_FAIL\nnonsense x;\n#endif\n"), 0)
        self.assertEqual(self.outcome("// error: nonsense\nint x;\n"), 1)  # compiles both times
        self.assertEqual(self.outcome("// error: nonsense\nnonsense x;\n"), 1)  # never compiles
        self.assertEqual(self.outcome("// error: another\n#ifdef MUST_FAIL\nnonsense x;\n#endif\n"), 1)
        self.assertEqual(self.outcome("#ifdef MUST_FAIL\nnonsense x;\n#endif\n"), 1)  # names no error


class Syntax(TreeCase):
    def outcome(self):
        return run("/usr/bin/python3", CHECKS / "syntax.py", "headers", COMPILER, self.tree, self.tree / "cache")

    def test_header_that_needs_another(self):
        write(self.tree, {"include/a.hpp": "#pragma once\n#include <string>\nstd::string a();\n"})
        self.assertEqual(self.outcome().returncode, 0)
        self.assertIn("0 compiled now", self.outcome().stdout)
        write(self.tree, {"include/a.hpp": "#pragma once\nstd::string a();\n"})
        self.assertEqual(self.outcome().returncode, 1)

    def test_header_without_guard(self):
        write(self.tree, {"include/a.hpp": "struct A {};\n"})
        self.assertEqual(self.outcome().returncode, 1)


class Packages(TreeCase):
    def test_library_outside_the_lists(self):
        write(self.tree, {"scripts/setup.sh": "echo g++\n", "build/bin/.keep": ""})
        os.symlink("/usr/bin/cmake", self.tree / "build/bin/link")
        done = run("/usr/bin/cp", "/usr/bin/cmake", self.tree / "build/bin/program")
        self.assertEqual(done.returncode, 0)
        done = run("bash", CHECKS / "packages_proof.sh", self.tree, self.tree / "build")
        self.assertEqual(done.returncode, 1, done.stdout + done.stderr)
        self.assertIn("which no list brings", done.stdout)


class Summary(TreeCase):
    def test_counts_and_closing_line(self):
        write(self.tree, {"t.xml": """<testsuite>
          <testcase name="a" status="run"/>
          <testcase name="b" status="fail"><failure message=""/></testcase>
          <testcase name="c" status="notrun"><skipped message="SKIP_REGULAR_EXPRESSION_MATCHED"/>
            <system-out>x.cpp:4: Skipped
no data on this machine

[  SKIPPED ] c (0 ms)</system-out></testcase></testsuite>"""})
        done = run("/usr/bin/python3", CHECKS / "summary.py", "--broken", "1", self.tree / "t.xml")
        self.assertEqual(done.returncode, 1)
        self.assertEqual(done.stdout.splitlines()[-1], "1 passed, 2 failed, 1 skipped")
        self.assertIn("skipped  t: c: no data on this machine", done.stdout)

    def test_program_that_was_not_built_is_a_failure(self):
        write(self.tree, {"t.xml": """<testsuite><testcase name="curbshed_x_tests_NOT_BUILT" status="notrun">
          <skipped message="Unable to find executable"/></testcase></testsuite>"""})
        done = run("/usr/bin/python3", CHECKS / "summary.py", self.tree / "t.xml")
        self.assertEqual(done.stdout.splitlines()[-1], "0 passed, 1 failed, 0 skipped")

    def test_nothing_ran(self):
        done = run("/usr/bin/python3", CHECKS / "summary.py")
        self.assertEqual((done.returncode, done.stdout.splitlines()[-1]), (1, "0 passed, 0 failed, 0 skipped"))


class BenchRatios(unittest.TestCase):
    def test_ratio(self):
        def report(over, under):
            return json.loads(json.dumps({"benchmarks": [
                {"run_name": "A", "run_type": "iteration", "cpu_time": over, "time_unit": "us"},
                {"run_name": "B", "run_type": "iteration", "cpu_time": under, "time_unit": "ns"},
                {"run_name": "B", "run_type": "iteration", "cpu_time": under * 9, "time_unit": "ns"}]}))
        ratios = [{"name": "r", "over": "A", "under": "B", "stored": 2.0, "factor": 1.5, "why": "w"}]
        for over, bad in ((2.0, 0), (2.9, 0), (3.1, 1)):
            best = bench_ratios.best_times(report(over, 1000.0))
            self.assertEqual(len(bench_ratios.compare(best, ratios)), bad)
        self.assertEqual(len(bench_ratios.compare({"A": 1.0}, ratios)), 1)


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0]], verbosity=1)
