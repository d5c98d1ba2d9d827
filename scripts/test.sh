#!/usr/bin/env bash
# Builds and runs every test. The last line is "N passed, N failed, N skipped".
# usage: scripts/test.sh [--quick] [arguments for ctest, for example -R name]
#   --quick   leave out the sanitizer build and the benchmark ratios
# shellcheck disable=SC2317  # the functions are called through "part"
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

quick=0
ctest_args=()
for arg in "$@"; do
  if [[ $arg == --quick ]]; then quick=1; else ctest_args+=("$arg"); fi
done

jobs=${CURBSHED_JOBS:-$(nproc)}
build=build/test
sanitize=build/sanitize
results=build/test-results
mkdir -p "$results"
rm -f "$results"/*.xml

broken=0
part_names=()
part_seconds=()
# A part that fails is counted, and the next ones still run.
part() {
  local name=$1 start=$SECONDS
  shift
  echo "== $name"
  "$@" || true
  part_names+=("$name")
  part_seconds+=($((SECONDS - start)))
}

count_broken() {
  broken=$((broken + 1))
  echo "FAILED: $1" >&2
}

packages() {
  local groups=(run test)
  [[ $quick -eq 1 ]] || groups+=(bench)
  bash scripts/setup.sh "${groups[@]}" || count_broken 'packages'
}

compile() {
  local name=$1 dir=$2
  shift 2
  if ! { cmake -S . -B "$dir" -G Ninja -DCURBSHED_BUILD_TESTS=ON -DCURBSHED_WERROR=ON "$@" &&
    cmake --build "$dir" --parallel "$jobs" -- -k 0; } >"$results/$name.log" 2>&1; then
    # The first errors say more than the last lines.
    grep -nE 'error|Error|FAILED' "$results/$name.log" | head -n 40 >&2 || true
    tail -n 15 "$results/$name.log" >&2
    count_broken "$name build; the whole log is $results/$name.log"
    return 1
  fi
}

run_tests() {
  local name=$1 dir=$2 xml="$PWD/$results/$1.xml"
  shift 2
  if [[ ! -f $dir/CTestTestfile.cmake ]]; then
    count_broken "$name: nothing was configured"
    return
  fi
  ctest --test-dir "$dir" --parallel "$jobs" --output-on-failure \
    --output-junit "$xml" "$@" "${ctest_args[@]}" || true
  [[ -s $xml ]] || count_broken "$name: ctest wrote no results"
}

bench=ON
[[ $quick -eq 0 ]] || bench=OFF

part 'packages' packages
part 'build' compile build "$build" -DCMAKE_BUILD_TYPE=Release "-DCURBSHED_BUILD_BENCH=$bench"
part 'tests' run_tests tests "$build" -LE bench
if [[ $quick -eq 0 ]]; then
  part 'sanitizer build' compile sanitizer-build "$sanitize" -DCMAKE_BUILD_TYPE=None -DCURBSHED_SANITIZE=ON
  part 'sanitizer tests' run_tests sanitizer "$sanitize"
  part 'benchmark ratios' run_tests bench "$build" -L bench
fi

echo
for i in "${!part_names[@]}"; do
  printf '%-18s %5d s\n' "${part_names[$i]}" "${part_seconds[$i]}"
done
printf '%-18s %5d s\n\n' 'total' "$SECONDS"

# Without the summary script the closing line must still come, and it must say that something failed.
shopt -s nullglob
if [[ -x /usr/bin/python3 ]]; then
  exec /usr/bin/python3 scripts/checks/summary.py --broken "$broken" "$results"/*.xml
fi
echo "0 passed, $((broken + 1)) failed, 0 skipped"
exit 1
