# shellcheck shell=bash
# What the tests need beside the build; to be sourced from the checkout after app/setup.sh.

# Any Catch2 will do, 2 or 3.
have_catch2() { have_header catch2/catch.hpp || have_header catch2/catch_test_macros.hpp; }

have_fonts() { [[ $(fc-list : family) == *[a-z]* ]]; }

need_test_packages() {
  need catch2 have_catch2
  need python3 test -x /usr/bin/python3
  need python3-scipy /usr/bin/python3 -c 'import scipy'
  need libsundials-dev have_header cvode/cvode.h
  # For the schema and browser tests, which fetch their packages themselves.
  need_node
  # The browser tests drive it, with a font in it, and look at what it prints.
  need chromium have chromium
  need fonts-dejavu-core have_fonts
  need poppler-utils have pdftoppm
}
