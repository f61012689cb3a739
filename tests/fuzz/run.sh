#!/usr/bin/env bash
# Looks for inputs that break a fuzz target, with libFuzzer of clang and the address and
# undefined-behaviour sanitizers.
#
#   bash tests/fuzz/run.sh [SECONDS [TARGET]]     default: 60 quantity
#
# Everything is built in build/fuzz (or LASHBAND_FUZZ_FOLDER). Inputs that are found stay in its
# folder <target>: those that reach new code in `found`, those that break something as `crash-*`,
# `timeout-*` and the like. A breach is an exit status other than 0; once the bug is fixed, add the
# file to corpus/<target>.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."

seconds=${1:-60}
target=${2:-quantity}
folder=${LASHBAND_FUZZ_FOLDER:-build/fuzz}

if [[ ! -f tests/fuzz/${target}_fuzz.cpp ]]; then
  echo "run.sh: no target tests/fuzz/${target}_fuzz.cpp" >&2
  exit 2
fi
# A quantity is short; a whole input file is not.
case $target in
  quantity) longest=96 ;;
  *) longest=4096 ;;
esac

compiler=""
for candidate in "${CXX:-}" clang++ clang++-19 clang++-14; do
  if [[ $candidate == *clang* ]] && command -v "$candidate" > /dev/null; then
    compiler=$candidate
    break
  fi
done
if [[ -z $compiler ]]; then
  echo "run.sh: clang++ is needed (Debian: clang libclang-rt-dev)" >&2
  exit 2
fi

cmake -S . -B "$folder/tree" -D CMAKE_CXX_COMPILER="$compiler" -D CMAKE_BUILD_TYPE=RelWithDebInfo \
  -D CMAKE_CXX_FLAGS=-fsanitize=fuzzer-no-link -D LASHBAND_SANITIZE=address,undefined \
  -D LASHBAND_TESTS=ON
cmake --build "$folder/tree" --target "${target}_fuzz" --parallel "$(nproc)"

options=(-max_total_time="$seconds" -max_len="$longest" -timeout=5 -print_final_stats=1
  -artifact_prefix="$folder/$target/")
if [[ -f tests/fuzz/$target.dict ]]; then
  options+=(-dict="tests/fuzz/$target.dict")
fi
mkdir -p "$folder/$target/found"
"$folder/tree/tests/fuzz/${target}_fuzz" "${options[@]}" \
  "$folder/$target/found" "tests/fuzz/corpus/$target"
