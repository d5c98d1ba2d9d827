"""Fails on an #include that the layer table does not have.

usage: include_arrows.py ROOT
"""
import pathlib
import re
import sys

# What each layer may include. A layer may always include itself.
LAYERS = {
    "base": [],
    "shapes": ["base"],
    "water": ["base"],
    "trees": ["base"],
    "terrain": ["base"],
    "street": ["base", "shapes", "terrain"],
    "geodata": ["base", "terrain"],
    "study": ["base", "water", "trees", "terrain", "street"],
    "siting": ["base", "shapes", "water", "trees", "terrain", "street", "study"],
    "report": ["base", "study", "siting", "trees"],
    "cli": ["base", "shapes", "water", "trees", "terrain", "street", "geodata", "study", "siting", "report"],
}

# Third-party headers: pattern, name, the layers that may use them, in how many units of a layer (None: any).
# The heavy ones sit in one unit each because they cost seconds to compile.
THIRD_PARTY = [
    (r"CLI/", "CLI11", ["cli"], 2),
    (r"spdlog/", "spdlog", ["cli"], None),
    (r"toml\+\+/|toml\.hpp", "toml++", ["study"], 1),
    (r"nlohmann/", "nlohmann-json", ["report"], None),
    (r"openssl/", "OpenSSL", ["report"], None),
    (r"(gdal|ogr|cpl|gnm|vrt)[a-z0-9_]*\.h$|gdal/", "GDAL", ["geodata"], None),
    (r"proj(_[a-z]+)?\.h$|proj/|geodesic\.h$", "PROJ", ["geodata"], None),
    (r"boost/geometry|boost/geometry\.hpp", "Boost.Geometry", ["shapes"], 1),
    (r"boost/", "Boost.Graph", ["street", "study"], None),
    (r"geos_c\.h$|geos/", "GEOS", ["shapes"], None),
    (r"tbb/|oneapi/", "oneTBB", ["base"], 1),
    (r"fmt/", "fmt", list(LAYERS), None),
]

# Calls of the operating system: only where files, signals and memory limits are handled.
POSIX_LAYERS = ["geodata", "report", "cli"]
# One header for one source: grids ask for large pages, which speeds up every pass over them.
POSIX_EXCEPTIONS = {"src/terrain/grid.cpp": "sys/mman.h"}
POSIX = re.compile(r"(sys/[a-z]+|unistd|fcntl|dirent|signal|poll|pwd|termios|malloc)\.h$")

STANDARD = set("""
algorithm any array atomic barrier bit bitset cassert cctype cerrno cfenv cfloat charconv chrono cinttypes
climits clocale cmath codecvt compare complex concepts condition_variable coroutine csetjmp csignal cstdarg
cstddef cstdint cstdio cstdlib cstring ctime cuchar cwchar cwctype deque exception execution filesystem
forward_list fstream functional future initializer_list iomanip ios iosfwd iostream istream iterator latch
limits list locale map memory memory_resource mutex new numbers numeric optional ostream queue random ratio
regex scoped_allocator semaphore set shared_mutex span sstream stack stdexcept stop_token streambuf string
string_view syncstream system_error thread tuple type_traits typeindex typeinfo unordered_map unordered_set
utility valarray variant vector version
""".split())

# Made by CMake from the version in CMakeLists.txt.
GENERATED = {"curbshed/base/version_number.hpp": ["src/base/version.cpp"]}

INCLUDE = re.compile(r"^[ \t]*#[ \t]*include\b[ \t]*(.*)$", re.M)
BLOCK_COMMENT = re.compile(r"/\*.*?\*/", re.S)


def layer_of(path):
    """include/curbshed/<layer>/x and src/<layer>/x -> (layer, is it a public header)."""
    parts = path.parts
    if parts[0] == "include":
        return (parts[2] if len(parts) > 3 else None), True
    return (parts[1] if len(parts) > 2 else None), False


def check_file(root, path, users, problems):
    layer, public = layer_of(path)
    if layer not in LAYERS:
        problems.append(f"{path}: lies in no layer's folder")
        return
    text = (root / path).read_text(encoding="utf-8")
    text = BLOCK_COMMENT.sub(lambda m: "\n" * m.group().count("\n"), text)
    for match in INCLUDE.finditer(text):
        where = f"{path}:{text.count(chr(10), 0, match.start()) + 1}"
        target = re.match(r'["<]([^">]+)[">]', match.group(1))
        if not target:
            problems.append(f"{where}: an #include must name its file")
            continue
        name = target.group(1)
        quoted = match.group(1).startswith('"')

        own = None
        if name.startswith("curbshed/"):
            if name in GENERATED:
                if str(path) not in GENERATED[name]:
                    problems.append(f"{where}: {name} is for {', '.join(GENERATED[name])} only")
                continue
            own = name.split("/")[1]
        elif quoted:
            # A private header, beside the source or named from src/.
            if public:
                problems.append(f"{where}: a public header shows the private file {name}")
                continue
            if ".." in name.split("/"):
                problems.append(f"{where}: {name} climbs out of its folder")
                continue
            if (root / path.parent / name).exists():
                own = layer
            elif (root / "src" / name).exists():
                own = name.split("/")[0]
                if own != layer:
                    problems.append(f"{where}: {name} is private to {own}")
                    continue
            else:
                problems.append(f"{where}: no such file in this layer: {name}")
                continue
        if own is not None:
            if own not in LAYERS:
                problems.append(f"{where}: there is no layer '{own}'")
            elif own != layer and own not in LAYERS[layer]:
                problems.append(f"{where}: {layer} may not include {own} ({name})")
            continue

        if name in STANDARD:
            continue
        for pattern, product, layers, _ in THIRD_PARTY:
            if re.match(pattern, name):
                if layer not in layers:
                    problems.append(f"{where}: {layer} may not use {product} ({name}); only {', '.join(layers)}")
                elif public and product != "fmt":
                    problems.append(f"{where}: a public header shows {product} ({name})")
                users.setdefault(product, set()).add(str(path))
                break
        else:
            if POSIX.match(name):
                if POSIX_EXCEPTIONS.get(str(path)) == name:
                    continue
                if layer not in POSIX_LAYERS or public:
                    problems.append(f"{where}: {name} belongs in a source of {', '.join(POSIX_LAYERS)}")
            else:
                problems.append(f"{where}: {name} is in no list of known headers")


def check(root):
    problems, users = [], {}
    files = [
        p.relative_to(root)
        for top in ("include", "src")
        for p in sorted((root / top).rglob("*"))
        if p.suffix in (".hpp", ".h", ".cpp", ".inc", ".ipp", ".cc")
    ]
    for path in files:
        check_file(root, path, users, problems)
    for _, product, _, limit in THIRD_PARTY:
        found = sorted(users.get(product, ()))
        if limit is not None and len(found) > limit:
            problems.append(f"{product} is in {len(found)} units, at most {limit}: {', '.join(found)}")
    return len(files), problems


def main():
    count, problems = check(pathlib.Path(sys.argv[1]))
    for problem in problems:
        print(problem)
    print(f"{count} files read, {len(problems)} problems")
    return 1 if problems or count == 0 else 0


if __name__ == "__main__":
    sys.exit(main())
