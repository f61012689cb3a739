# shellcheck shell=bash
# What the tests need beside the build; to be sourced from the checkout after app/setup.sh.

# Any Catch2 will do, 2 or 3.
have_catch2() { have_header catch2/catch.hpp || have_header catch2/catch_test_macros.hpp; }

# The schema tests need Node 18 or newer, of any origin.
have_node() { node -e 'process.exit(parseInt(process.versions.node) >= 18 ? 0 : 1)'; }

need_test_packages() {
  need catch2 have_catch2
  need python3 test -x /usr/bin/python3
  need python3-scipy /usr/bin/python3 -c 'import scipy'
  need nodejs have_node
  need npm have npm
}

# Node modules that tests use, of the versions in their lock file; installed again when that changes.
install_node_modules() {
  local lock folder installed
  for lock in tests/*/package-lock.json; do
    [[ -e $lock ]] || continue
    folder=${lock%/*}
    installed=$folder/node_modules/.installed-lock.json
    if ! cmp -s "$lock" "$installed"; then
      (cd "$folder" && npm ci --ignore-scripts --no-audit --no-fund)
      cp "$lock" "$installed"
    fi
  done
}
