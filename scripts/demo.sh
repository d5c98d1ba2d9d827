#!/usr/bin/env bash
# From a fresh clone to results: packages, release build, one run on the sample quarter.
# usage: scripts/demo.sh
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

study=sample-rasters/quarter/study.toml
build=build/release
out=build/demo-output

part_names=()
part_seconds=()
part() {
  local name=$1 start=$SECONDS
  shift
  echo "== $name"
  "$@"
  part_names+=("$name")
  part_seconds+=($((SECONDS - start)))
}

compile() {
  # Output of the compiler is shown only when it fails.
  mkdir -p build
  if ! { cmake -S . -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=Release -DCURBSHED_BUILD_TESTS=OFF &&
    cmake --build "$build" --target curbshed; } >build/demo-build.log 2>&1; then
    tail -n 60 build/demo-build.log >&2
    echo "demo: the build failed; the whole log is build/demo-build.log" >&2
    exit 1
  fi
}

part 'packages' bash scripts/setup.sh run
part 'build' compile
part 'run' "$build/bin/curbshed" run "$study" --out "$out" --overwrite

echo
echo "outputs in $out:"
(cd "$out" && find . -type f -printf '  %P  (%s bytes)\n' | LC_ALL=C sort)
echo
for i in "${!part_names[@]}"; do
  printf '%-10s %4d s\n' "${part_names[$i]}" "${part_seconds[$i]}"
done
printf '%-10s %4d s\n' 'total' "$SECONDS"
