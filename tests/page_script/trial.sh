#!/usr/bin/env bash
# The program can be built where the report's page script cannot: the build says so in one line and
# goes on, and the program holds no script.
#
#   bash tests/page_script/trial.sh FOLDER      FOLDER is made anew
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
folder=$1
rm -rf "$folder"
mkdir -p "$folder"

failures=0
# without_charts WHY CMAKE_ARGUMENT...: WHY is in the line that CMake prints.
without_charts() {
  local why=$1 build count
  shift
  build=$(mktemp -d -p "$folder")
  if ! cmake -S "$here/project" -B "$build" -D LASHBAND_SOURCE="$here/../.." "$@" \
    >"$build/log" 2>&1 || ! cmake --build "$build" >>"$build/log" 2>&1; then
    cat "$build/log"
    printf 'FAIL: no build: %s\n' "$why"
    failures=$((failures + 1))
    return
  fi
  count=$("$build/count_files")
  if [[ $count != 0 ]]; then
    printf 'FAIL: %s: %s files are embedded\n' "$why" "$count"
    failures=$((failures + 1))
  fi
  if [[ $(grep -c "^-- Reports will have no charts: .*$why" "$build/log") != 1 ]]; then
    cat "$build/log"
    printf 'FAIL: %s: not told, or more than once\n' "$why"
    failures=$((failures + 1))
  fi
}

mkdir "$folder/part" "$folder/part/vega"
printf '{}\n' >"$folder/part/vega/package.json"

without_charts "LASHBAND_PAGE_MODULES is OFF" -D LASHBAND_PAGE_MODULES=OFF
without_charts "does not hold vega;" -D LASHBAND_PAGE_MODULES="$folder/absent" \
  -D LASHBAND_NODE="$here/new_node"
without_charts "does not hold vega-lite;" -D LASHBAND_PAGE_MODULES="$folder/part" \
  -D LASHBAND_NODE="$here/new_node"
without_charts "no Node.js" -D LASHBAND_PAGE_MODULES="$folder/absent" -D LASHBAND_NODE=OFF
without_charts "no Node.js" -D LASHBAND_PAGE_MODULES="$folder/absent" -D LASHBAND_NODE="$here/old_node"

((failures == 0)) || exit 1
printf 'every build without charts went through\n'
