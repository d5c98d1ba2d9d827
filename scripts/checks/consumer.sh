#!/usr/bin/env bash
# Installs the library into an empty folder and builds a program outside this project against it.
# usage: consumer.sh SOURCE_DIR BUILD_DIR COMPILER VERSION
set -euo pipefail
source_dir=$1 build_dir=$2 compiler=$3 version=$4
work=$build_dir/consumer
rm -rf "$work"
cmake --install "$build_dir" --prefix "$work/prefix" >/dev/null
# Only the prefix may answer find_package(curbshed).
cmake -S "$source_dir/tests/consumer" -B "$work/build" -G Ninja -DCMAKE_BUILD_TYPE=Release \
  "-DCMAKE_CXX_COMPILER=$compiler" "-DCMAKE_PREFIX_PATH=$work/prefix" >"$work/configure.log" 2>&1 || {
  cat "$work/configure.log"
  exit 1
}
cmake --build "$work/build"
for program in consumer consumer_of_all; do
  said=$("$work/build/$program")
  [[ $said == "$version 152.4" ]] || {
    echo "$program said '$said', expected '$version 152.4'"
    exit 1
  }
done
# Nothing that is installed may point back to the build or the source folder.
if grep -rlF -e "$source_dir" -e "$build_dir/src" "$work/prefix"; then
  echo 'the files above name a folder of the machine that built them'
  exit 1
fi
# The program must start from where it was installed.
"$work/prefix/bin/curbshed" --version
