#!/usr/bin/env bash
# Installs the Debian 12 packages that the named groups need, and only those that are missing.
# usage: scripts/setup.sh [--list] [run] [test] [bench] [tools]      (no group: run)
set -euo pipefail

# One line a package: name, then why it is needed. The list is proven by scripts/checks/packages_proof.sh.
declare -A packages
packages[run]='
g++                  the compiler
cmake                reads CMakeLists.txt
ninja-build          runs the build
libfmt-dev           text formatting in every layer
libtbb-dev           threads behind parallel_stripes
libboost-dev         Boost.Graph for the gutter network, Boost.Geometry for what is near (headers only)
libgeos-dev          union and buffer of street areas
libtomlplusplus-dev  reads study.toml
libgdal-dev          reads and writes rasters and vector layers
libproj-dev          checks and names coordinate reference systems
nlohmann-json3-dev   writes summary.json and manifest.json
libssl-dev           SHA-256 of the input files for the manifest
libcli11-dev         the command line
libspdlog-dev        log lines on stderr
'
packages[test]='
libgtest-dev         unit tests
libvalijson-dev      checks summary.json against its schema
clang-14             second compiler: every source must pass its front end
python3              structure checks and the summary of test results (standard library only)
python3-gdal         writes the layers of the made city that tests run on
python3-numpy        its ground
coinor-cbc           an outside solver that the choice of cuts is compared with
gdal-bin             ogrinfo and gdalinfo, an outside reader of the layers that are written
binutils             strings, to look for host paths in the program
'
packages[bench]='
libbenchmark-dev     benchmark program
python3              compares the measured ratios with the stored ones
'
packages[tools]='
python3              runs scripts/make_four_blocks.py and make_quarter.py
python3-gdal         writes its raster and layers
python3-numpy        its ground surface
python3-skimage      scripts/make_reconstruction_reference.py: filled levels by another hand
'

die() { printf 'setup: %s\n' "$1" >&2; exit 1; }

list_only=0
groups=()
for arg in "$@"; do
  case $arg in
    --list) list_only=1 ;;
    run | test | bench | tools) groups+=("$arg") ;;
    *) die "unknown group '$arg'; groups are: run test bench tools" ;;
  esac
done
[[ ${#groups[@]} -gt 0 ]] || groups=(run)

wanted=()
for group in "${groups[@]}"; do
  while read -r name _; do
    [[ -z $name ]] || wanted+=("$name")
  done <<<"${packages[$group]}"
done
# No <(...) here: it needs /dev/fd, which a bare root may not have yet.
mapfile -t wanted <<<"$(printf '%s\n' "${wanted[@]}" | LC_ALL=C sort -u)"

if [[ $list_only -eq 1 ]]; then
  printf '%s\n' "${wanted[@]}"
  exit 0
fi

command -v dpkg-query >/dev/null || die 'this script knows Debian packages only; install the counterparts of: '"${wanted[*]}"

missing=()
for name in "${wanted[@]}"; do
  # "config-files" and "half-installed" also answer the query: only "installed" counts.
  status=$(dpkg-query -W -f '${db:Status-Status}' "$name" 2>/dev/null || true)
  [[ $status == installed ]] || missing+=("$name")
done
if [[ ${#missing[@]} -eq 0 ]]; then
  echo "setup: all ${#wanted[@]} packages of '${groups[*]}' are installed"
  exit 0
fi

echo "setup: installing for '${groups[*]}': ${missing[*]}"
as_root=()
if [[ $(id -u) -ne 0 ]]; then
  command -v sudo >/dev/null ||
    die "root is needed to install packages and there is no sudo; run as root: apt-get install --no-install-recommends ${missing[*]}"
  as_root=(sudo)
fi
apt() {
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get "$@" >"$log" 2>&1 && return
  tail -n 20 "$log" >&2
  die "apt-get $1 failed; is there a network?"
}
log=$(mktemp)
trap 'rm -f "$log"' EXIT
apt update -q
apt install -y -q --no-install-recommends "${missing[@]}"
echo "setup: ${#missing[@]} packages installed, with what they depend on"
