#!/usr/bin/env bash
# Checks every #include of lib and app against the table below: which module may include which, and
# which third-party headers it may use. The headers of all packages sit in one folder of the system,
# so no compiler or link step would notice.
#
#   include_rules.sh [ROOT]     ROOT is the checkout, by default the one this script stands in
#
# Fails on an include that is not allowed or cannot be told, on a module that the table lacks, and
# when it finds nothing to check. A new module adds its row in the same commit.
set -euo pipefail

root=${1:-$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)}
cd "$root"

# Modules of ours that a module may include, beside itself and the headers that stand directly in
# lashband/ or lib/src, outside every module (row `lashband`). An entry with a slash is one header.
core="units materials geometry tolerance limits bearing losses heat thermal train spectrum elastomer excitation torsion design"
declare -A modules_allowed=(
  [lashband]=""
  [units]=""
  [materials]="units"
  [geometry]="units"
  [tolerance]="units"
  [limits]="units"
  [bearing]="units"
  [losses]="units materials"
  [heat]="units materials"
  [thermal]="units materials geometry tolerance"
  [train]="units geometry"
  [spectrum]="units train"
  [elastomer]="units materials"
  [excitation]="units"
  [torsion]="units"
  [band]="units materials geometry tolerance thermal"
  [design]="units materials geometry tolerance limits bearing losses heat thermal train spectrum elastomer excitation torsion"
  [io]="$core"
  [report]="$core io/embedded_file.hpp"
  [app]="$core io report"
)

# Third-party headers, as beginnings of the name. Boost.Units is allowed everywhere and the standard
# library (names without dot and slash) needs no entry.
declare -A packages_allowed=(
  [tolerance]="boost/math/"
  [train]="boost/graph/ boost/multiprecision/"
  [spectrum]="boost/multiprecision/"
  [band]="boost/math/"
  [design]="boost/math/ boost/multiprecision/"
  [app]="CLI/ unistd.h signal.h fcntl.h sys/"
)
# The same for sources and private headers (lib/src) alone: the public headers never show them.
declare -A packages_allowed_in_src=(
  [io]="nlohmann/ sha2.h sha256.h unistd.h fcntl.h sys/"
  [report]="nlohmann/"
  [band]="hwy/"
  [heat]="Eigen/ unsupported/Eigen/"
  [excitation]="Eigen/ unsupported/Eigen/"
  [torsion]="Eigen/ unsupported/Eigen/ hwy/"
)

# Private headers (lib/src) belong to their module. These kernels are shared with the modules named.
declare -A kernels_allowed=(
  [band]="geometry/involute_kernel.hpp tolerance/sum_distribution.hpp"
  [design]="band/ torsion/"
)

failures=0
fail() {
  printf 'FAIL: %s\n' "$1"
  failures=$((failures + 1))
}

# starts_with_one_of NAME BEGINNING...
starts_with_one_of() {
  local name=$1 beginning
  shift
  for beginning in "$@"; do
    [[ $name == "$beginning"* ]] && return 0
  done
  return 1
}

# check_ours PLACE MODULE HEADER, with HEADER as module/file or file for one in lashband/ itself.
check_ours() {
  local place=$1 module=$2 header=$3 target allowed
  target=${header%%/*}
  [[ $header == */* ]] || target=lashband
  [[ $target == "$module" || $target == lashband ]] && return
  for allowed in ${modules_allowed[$module]}; do
    [[ $allowed == "$target" || $allowed == "$header" ]] && return
  done
  fail "$place: $module may not include $header"
}

check_include() {
  local place=$1 file=$2 module=$3 name=$4
  if [[ $name == lashband/* ]]; then
    check_ours "$place" "$module" "${name#lashband/}"
  elif [[ $name == *../* ]]; then
    fail "$place: write $name from the include folder, not with .."
  elif [[ -f ${file%/*}/$name ]]; then
    return 0  # beside the file
  elif [[ -f lib/src/$name ]]; then  # not the folder limits for <limits>
    [[ $file != lib/* || $name == */* ]] || return 0  # outside every module
    # shellcheck disable=SC2086  # a list of words
    if [[ $file != lib/* ]] || ! starts_with_one_of "$name" "$module/" ${kernels_allowed[$module]:-}; then
      fail "$place: $name is private to its module, $module may not include it"
    fi
  elif [[ $name != *[./]* ]]; then
    return 0  # standard library
  else
    local allowed="boost/units/ ${packages_allowed[$module]:-}"
    [[ $file != lib/src/* ]] || allowed+=" ${packages_allowed_in_src[$module]:-}"
    # shellcheck disable=SC2086  # a list of words
    starts_with_one_of "$name" $allowed || fail "$place: $module may not include $name here"
  fi
}

# module_of FILE: sets `module`, empty for a file that stands in none.
module_of() {
  case $1 in
    lib/include/lashband/*/*) module=${1#lib/include/lashband/} module=${module%%/*} ;;
    lib/src/*/*) module=${1#lib/src/} module=${module%%/*} ;;
    lib/include/lashband/* | lib/src/*) module=lashband ;;
    app/*) module=app ;;
    *) module="" ;;
  esac
}

mapfile -t files < <(
  find lib app -type f \( -name '*.hpp' -o -name '*.h' -o -name '*.cpp' -o -name '*.ipp' \) | sort
)
if ((${#files[@]} == 0)); then
  fail "no source files below $root/lib and $root/app"
  exit 1
fi
for file in "${files[@]}"; do
  module_of "$file"
  if [[ -z $module ]]; then
    fail "$file: stands in no module"
  elif [[ ! -v modules_allowed[$module] ]]; then
    fail "$file: the table of tests/layering/include_rules.sh has no row for module $module"
  fi
done

includes=0
directive='^[[:space:]]*#[[:space:]]*include[[:space:]]*[<"]([^>"]+)[>"]'
while IFS=: read -r file line text; do
  includes=$((includes + 1))
  module_of "$file"
  if [[ ! $text =~ $directive ]]; then
    fail "$file:$line: cannot tell what is included: $text"
  elif [[ -v modules_allowed[$module] ]]; then
    check_include "$file:$line" "$file" "$module" "${BASH_REMATCH[1]}"
  fi
done < <(grep -nHE '^[[:space:]]*#[[:space:]]*include' "${files[@]}" || true)

((includes > 0)) || fail "no includes found below $root"
((failures == 0)) || exit 1
printf '%d includes of %d files keep the layers\n' "$includes" "${#files[@]}"
