#!/usr/bin/env bash
# From a fresh checkout on Debian 12 or 13 to a first table of results: installs what the build needs,
# builds the program in build/release and runs it on an example. Run again it only does what is left.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
source app/setup.sh

need_build_packages
# Without Node the program can be built, but for the charts of its reports.
if on_supported_debian; then
  need_node
fi
install_needed
if ! { have_node && have npm; } >/dev/null 2>&1; then
  printf '\nReports will have no charts: this needs Node.js 18 or newer, and npm.\n\n' >&2
elif ! fetch_page_packages; then
  printf '\nReports will have no charts: npm could not fetch what draws them, see above. All else\n' >&2
  printf 'is built. Once npm reaches its registry, run this script again.\n\n' >&2
fi
build_in build/release -D CMAKE_BUILD_TYPE=Release

program=build/release/lashband
example=examples/rail_compressor/train.json
printf '\n$ %s backlash %s\n\n' "$program" "$example"
status=0
"$program" backlash "$example" || status=$?
# 1 says that a requirement in the file is not met, which is an answer and not a failure.
((status <= 1)) || exit "$status"

cat <<END

Next:
  $program --help
      all commands
  $program carriers $example
      the same train on each of its carriers
  $program report $example -o report.html
      all of it on one page with charts, for a browser
  $program example
      the examples there are
  $program example rail_compressor my_train
      a copy of this one, to change
END
