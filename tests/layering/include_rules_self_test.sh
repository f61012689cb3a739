#!/usr/bin/env bash
# Proves that include_rules.sh can fail: plants one violation after another in a copy of the tree.
set -euo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failures=0

fresh_copy() {
  rm -rf "$work/tree"
  mkdir "$work/tree"
  cp -r "$here/../../lib" "$here/../../app" "$work/tree"
  mkdir -p "$work/tree/lib/src/io"
  : >"$work/tree/lib/src/io/planted_private.hpp"
}

# accepts / refuses WHAT FILE INCLUDE: the rules must pass or fail with INCLUDE added to FILE.
accepts() {
  fresh_copy
  mkdir -p "$(dirname "$work/tree/$2")"
  printf '#include %s\n' "$3" >>"$work/tree/$2"
  if ! bash "$here/include_rules.sh" "$work/tree" >"$work/out"; then
    printf 'FAIL: refused though allowed: %s\n' "$1"
    cat "$work/out"
    failures=$((failures + 1))
  fi
}
refuses() {
  fresh_copy
  mkdir -p "$(dirname "$work/tree/$2")"
  printf '#include %s\n' "$3" >>"$work/tree/$2"
  if bash "$here/include_rules.sh" "$work/tree" >"$work/out"; then
    printf 'FAIL: accepted: %s\n' "$1"
    failures=$((failures + 1))
  elif ! grep -q "^FAIL: $2:" "$work/out"; then
    printf 'FAIL: refused for another reason: %s\n' "$1"
    cat "$work/out"
    failures=$((failures + 1))
  fi
}

accepts "thermal uses geometry" lib/src/thermal/planted.cpp '"lashband/geometry/involute.hpp"'
accepts "io uses its own private header" lib/src/io/planted.cpp '"io/planted_private.hpp"'
accepts "a header beside the file" lib/src/io/planted.cpp '"planted_private.hpp"'
accepts "nlohmann in a source of io" lib/src/io/planted.cpp '<nlohmann/json.hpp>'
accepts "nlohmann in a private header of report" lib/src/report/planted.hpp '<nlohmann/json.hpp>'
accepts "report lists embedded files" lib/src/report/planted.cpp '"lashband/io/embedded_file.hpp"'
accepts "CLI11 in app" app/planted.cpp '<CLI/CLI.hpp>'
accepts "Boost.Units in train" lib/include/lashband/train/planted.hpp '<boost/units/quantity.hpp>'
accepts "the exception tree everywhere" lib/src/units/planted.cpp '"lashband/error.hpp"'

refuses "geometry uses thermal" lib/src/geometry/planted.cpp '"lashband/thermal/carrier.hpp"'
refuses "the same by a way round" lib/src/geometry/planted.cpp '"../thermal/carrier.hpp"'
refuses "the same in angle brackets" lib/src/geometry/planted.cpp '<lashband/thermal/carrier.hpp>'
refuses "materials uses geometry" lib/include/lashband/materials/planted.hpp '"lashband/geometry/a.hpp"'
refuses "core uses io" lib/src/design/planted.cpp '"lashband/io/design_file.hpp"'
refuses "report uses io" lib/src/report/planted.cpp '"lashband/io/design_file.hpp"'
refuses "core uses JSON" lib/src/design/planted.cpp '<nlohmann/json.hpp>'
refuses "JSON in a public header" lib/include/lashband/io/planted.hpp '<nlohmann/json_fwd.hpp>'
refuses "JSON in app" app/planted.cpp '<nlohmann/json.hpp>'
refuses "CLI11 in the library" lib/src/io/planted.cpp '<CLI/CLI.hpp>'
refuses "Catch2 outside tests" app/planted.cpp '<catch2/catch.hpp>'
refuses "multiprecision outside tests" lib/src/geometry/planted.cpp '<boost/multiprecision/cpp_bin_float.hpp>'
refuses "another module's private header" lib/src/report/planted.cpp '"io/planted_private.hpp"'
refuses "private header of lib used by app" app/planted.cpp '"io/planted_private.hpp"'
refuses "a macro instead of a name" lib/src/units/planted.cpp 'PLANTED_HEADER'
refuses "a module without a row" lib/src/planted_module/planted.cpp '<vector>'
refuses "a source outside every module" lib/planted.cpp '<vector>'

mkdir -p "$work/empty/lib" "$work/empty/app"
if bash "$here/include_rules.sh" "$work/empty" >"$work/out"; then
  printf 'FAIL: accepted an empty tree\n'
  failures=$((failures + 1))
fi

((failures == 0)) || exit 1
printf 'every planted violation was found\n'
