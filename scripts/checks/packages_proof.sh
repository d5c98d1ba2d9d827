#!/usr/bin/env bash
# Proves the package lists of scripts/setup.sh: every library that a built program loads, every header that
# a unit read and every tool that the scripts call belongs to a listed package or to one that it depends on.
# usage: packages_proof.sh SOURCE_DIR BUILD_DIR
set -euo pipefail
source_dir=$1 build_dir=$2

command -v dpkg-query >/dev/null || { echo 'no dpkg on this machine: nothing to prove'; exit 77; }

tools=(
  apt-get dpkg-query dpkg                                 # setup.sh
  bash env id sort find tail head grep mkdir rm nproc cat tr xargs  # every script; essential packages of Debian
  cmake ctest ninja g++ c++                               # demo.sh, test.sh
  clang++-14 python3 strings ldd sed awk                  # checks
  ogrinfo gdalinfo                                        # tests that read what was written
)

mapfile -t listed < <(bash "$source_dir/scripts/setup.sh" --list run test bench tools)

# The closure of the listed packages and of those that every Debian has (essential or required).
declare -A depends provided
while IFS=';' read -r name status essential priority needs gives; do
  [[ $status == installed ]] || continue
  depends[$name]=$needs
  [[ $essential != yes && $priority != required ]] || listed+=("$name")
  for virtual in ${gives//,/ }; do
    provided[$virtual]+=" $name"
  done
done < <(dpkg-query -W -f '${Package};${db:Status-Status};${Essential};${Priority};${Pre-Depends}, ${Depends};${Provides}\n' |
  sed -E 's/ *\([^)]*\)//g; s/:(any|native|amd64|arm64)//g; s/ *\| */ /g')

declare -A closed
queue=("${listed[@]}")
while [[ ${#queue[@]} -gt 0 ]]; do
  name=${queue[-1]}
  unset 'queue[-1]'
  [[ -z ${closed[$name]:-} ]] || continue
  closed[$name]=1
  needs=${depends[$name]:-}
  # Of alternatives whichever is installed counts; the others have no entry.
  for next in ${needs//,/ } ${provided[$name]:-}; do
    queue+=("$next")
  done
done
echo "${#listed[@]} packages listed or essential, ${#closed[@]} with what they depend on"

problems=0
# check_files WHAT PATH...: names each package that owns a file and is outside the closure, once.
check_files() {
  local what=$1 path form owner owners
  shift
  # On a merged system a file may be recorded with or without /usr, and under its link or its target.
  local -A packages_of=() forms=() strangers=()
  for path in "$@"; do
    forms[$path]="$path /usr$path ${path#/usr}"
    form=$(readlink -f "$path")
    forms[$path]+=" $form ${form#/usr}"
  done
  while IFS= read -r line; do
    owners=${line%: /*}
    path=/${line#*: /}
    for owner in ${owners//,/ }; do
      packages_of[$path]+=" ${owner%%:*}"
    done
  done < <(printf '%s\n' "${forms[@]}" | tr ' ' '\n' | LC_ALL=C sort -u | LC_ALL=C xargs dpkg -S 2>/dev/null |
    grep -v '^diversion ' || true)
  for path in "$@"; do
    owners=''
    for form in ${forms[$path]}; do owners+=" ${packages_of[$form]:-}"; done
    for owner in $owners; do
      [[ -z ${closed[$owner]:-} ]] || continue 2
    done
    read -r owner _ <<<"$owners" || true
    strangers[${owner:-no package}]=$path
  done
  for owner in "${!strangers[@]}"; do
    echo "$what ${strangers[$owner]} belongs to $owner, which no list brings"
    problems=$((problems + 1))
  done
  echo "$# $what files read"
}

tool_paths=()
for tool in "${tools[@]}"; do
  if ! path=$(PATH=/usr/sbin:/usr/bin:/sbin:/bin command -v "$tool"); then
    echo "tool $tool is not on this machine"
    problems=$((problems + 1))
    continue
  fi
  tool_paths+=("$path")
done
check_files tool "${tool_paths[@]}"

mapfile -t programs < <(find "$build_dir/bin" -maxdepth 1 -type f -perm -u+x | LC_ALL=C sort)
[[ ${#programs[@]} -gt 0 ]] || { echo "no program was built in $build_dir/bin"; exit 1; }
mapfile -t libraries < <(
  ldd "${programs[@]}" | awk '/=> not found/ { print "/missing/" $1 } /=> \// { print $3 } /^\t\// { print $1 }' |
    LC_ALL=C sort -u)
check_files library "${libraries[@]}"

mapfile -t headers < <(
  ninja -C "$build_dir" -t deps | awk '/^    \/usr\// { print $1 }' | LC_ALL=C sort -u)
[[ ${#headers[@]} -eq 0 ]] || check_files header "${headers[@]}"

[[ $problems -eq 0 ]] || { echo "$problems problems"; exit 1; }
