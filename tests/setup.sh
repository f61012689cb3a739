# shellcheck shell=bash
# What the tests need beside the build; to be sourced from the checkout after app/setup.sh.

# Any Catch2 will do, 2 or 3.
have_catch2() { have_header catch2/catch.hpp || have_header catch2/catch_test_macros.hpp; }

# The schema tests need Node 18 or newer, of any origin. They fetch their packages themselves.
have_node() { node -e 'process.exit(parseInt(process.versions.node) >= 18 ? 0 : 1)'; }

need_test_packages() {
  need catch2 have_catch2
  need python3 test -x /usr/bin/python3
  need python3-scipy /usr/bin/python3 -c 'import scipy'
  need nodejs have_node
  need npm have npm
}
