"""Fails when the tree is not laid out as the developers' guide says.

 1. The top level holds exactly the agreed names.
 2. include/curbshed/<layer>/x.hpp <-> src/<layer>/x.cpp <-> tests/<layer>/x_test.cpp. A pair src/<layer>/x.hpp,
    x.cpp is private to its layer and is tested through the layer's public functions.
 3. Every .cpp of src/<layer> and tests/<layer> is in the source lists of CMake, and every listed one exists.

usage: layout.py ROOT                 check
       layout.py ROOT --write-lists   write what is on disk into the source lists
"""
import fnmatch
import pathlib
import re
import sys
import textwrap

from include_arrows import LAYERS

TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "CMakeLists.txt", "LICENSE",
    "src", "include", "tests", "sample-rasters", "scripts", "docs",
}
# The build folder is ignored by git; scripts/demo.sh and scripts/test.sh make it.
TOP_LEVEL_IGNORED = {"build"}

# Where sources are listed: the file, the command that lists them, their folder, the pattern.
LISTS = (
    ("src/CMakeLists.txt", "curbshed_layer", "src", "*.cpp"),
    ("tests/CMakeLists.txt", "curbshed_layer_tests", "tests", "*_test.cpp"),
)


def read_exceptions(path):
    """Lines of "rule pattern: reason". Rules: no-source, no-header, no-test, no-unit."""
    rules = []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        line = line.strip()
        if not line or line.startswith("#"):
            continue
        match = re.fullmatch(r"(no-source|no-header|no-test|no-unit)\s+(\S+):\s+(\S.*)", line)
        if not match:
            raise SystemExit(f"{path.name}:{number}: not of the form 'rule pattern: reason'")
        rules.append({"rule": match[1], "pattern": match[2], "used": False, "line": number})
    return rules


def excused(rules, rule, name):
    for entry in rules:
        if entry["rule"] == rule and fnmatch.fnmatchcase(name, entry["pattern"]):
            entry["used"] = True
            return True
    return False


def stems(folder, pattern, ending):
    return {p.name[: -len(ending)] for p in folder.glob(pattern)} if folder.is_dir() else set()


def listed_sources(cmake_file, command):
    """{layer: set of listed files, or None when the list is left to a glob}"""
    text = re.sub(r"#.*", "", cmake_file.read_text(encoding="utf-8"))
    lists = {}
    for match in re.finditer(command + r"\(\s*(\w+)([^)]*)\)", text):
        words = match[2].split()
        files = [w for w in words if w.endswith(".cpp")]
        lists[match[1]] = set(files) if "SOURCES" in words else None
        if len(files) != len(set(files)):
            lists[match[1]].add("(a file is listed twice)")
    return lists


def files_on_disk(root, top, layer, pattern):
    names = {p.name for p in (root / top / layer).glob(pattern)}
    if (top, layer) == ("src", "cli"):
        names.discard("main.cpp")  # the program's own unit
    return names


def write_lists(root):
    for cmake_file, command, top, pattern in LISTS:
        path = root / cmake_file
        text = path.read_text(encoding="utf-8")
        for layer in LAYERS:
            names = sorted(files_on_disk(root, top, layer, pattern))
            found = re.search(r"(^[ ]*)" + command + r"\(" + layer + r"\b([^)]*)\)", text, re.M)
            if not found or not names:
                continue
            indent = found[1] + "  "
            rest = re.sub(r"\s*SOURCES(\s+[\w.]+\.cpp)*", "", found[2])
            rest = re.sub(r"^\s*(?=\S)", "\n" + indent, rest)
            listed = textwrap.fill(" ".join(names), 96, initial_indent=indent + "  ", subsequent_indent=indent + "  ")
            text = text.replace(found[0], f"{found[1]}{command}({layer}\n{indent}SOURCES\n{listed}{rest})")
        path.write_text(text, encoding="utf-8")


def check(root):
    problems = []

    for path in sorted(root.iterdir()):
        if not path.name.startswith(".") and path.name not in TOP_LEVEL | TOP_LEVEL_IGNORED:
            problems.append(f"top level: {path.name} is not one of the agreed names")
    for name in sorted(TOP_LEVEL):
        if not (root / name).exists():
            problems.append(f"top level: {name} is missing")

    rules = read_exceptions(root / "tests/structure/layout_exceptions.txt")
    for layer in LAYERS:
        headers = stems(root / "include/curbshed" / layer, "*.hpp", ".hpp")
        sources = stems(root / "src" / layer, "*.cpp", ".cpp")
        if layer == "cli":
            sources.discard("main")  # the program itself
        private = stems(root / "src" / layer, "*.hpp", ".hpp")
        tests = stems(root / "tests" / layer, "*_test.cpp", "_test.cpp")
        for x in sorted(headers - sources):
            if not excused(rules, "no-source", f"{layer}/{x}"):
                problems.append(f"include/curbshed/{layer}/{x}.hpp has no src/{layer}/{x}.cpp")
        for x in sorted(sources - headers - private):
            if not excused(rules, "no-header", f"{layer}/{x}"):
                problems.append(f"src/{layer}/{x}.cpp has no include/curbshed/{layer}/{x}.hpp")
        for x in sorted((headers | (sources - private)) - tests):
            if not excused(rules, "no-test", f"{layer}/{x}"):
                problems.append(f"{layer}/{x} has no tests/{layer}/{x}_test.cpp")
        for x in sorted(tests - headers - sources):
            if not excused(rules, "no-unit", f"{layer}/{x}"):
                problems.append(f"tests/{layer}/{x}_test.cpp tests no unit of that name")
    for entry in rules:
        if not entry["used"]:
            problems.append(f"layout_exceptions.txt:{entry['line']}: nothing needs '{entry['rule']} {entry['pattern']}'")

    for cmake_file, command, top, pattern in LISTS:
        lists = listed_sources(root / cmake_file, command)
        for layer in LAYERS:
            on_disk = files_on_disk(root, top, layer, pattern)
            if layer not in lists:
                if on_disk:
                    problems.append(f"{cmake_file}: has no {command}({layer} ...)")
                continue
            listed = lists[layer]
            if listed is None:
                if on_disk:
                    problems.append(f"{cmake_file}: {command}({layer}) lists no sources")
                continue
            for name in sorted(on_disk - listed):
                problems.append(f"{cmake_file}: {command}({layer}) does not list {name}")
            for name in sorted(listed - on_disk):
                problems.append(f"{cmake_file}: {command}({layer}) lists {name}, which is not there")
    return problems


def main():
    root = pathlib.Path(sys.argv[1])
    if "--write-lists" in sys.argv[2:]:
        write_lists(root)
    problems = check(root)
    for problem in problems:
        print(problem)
    print(f"{len(problems)} problems")
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
