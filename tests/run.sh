#!/usr/bin/env bash
# Installs what the tests need, builds them in build/tests and runs them all, on Debian 12 or 13.
#
#   bash tests/run.sh [CTEST ARGUMENT...]     for instance: -LE slow, or -R geometry
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
source app/setup.sh
source tests/setup.sh

need_build_packages
need_test_packages
install_needed
fetch_page_packages

build_in build/tests -D CMAKE_BUILD_TYPE=Release -D LASHBAND_TESTS=ON

exec ctest --test-dir build/tests --no-tests=error --output-on-failure --parallel "$(nproc)" "$@"
