#!/usr/bin/env bash
# Proves that the warning and sanitizer flags of the builds, and the rules of clang-tidy, do stop a
# fault. The argument is the plug-in that clang-tidy is run with.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
tidy_plugin=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# fails_with TEXT COMMAND...: the command must fail and say TEXT.
fails_with() {
  local text=$1 output
  shift
  if output=$("$@" 2>&1); then
    printf 'FAIL: did not fail: %s\n%s\n' "$*" "$output"
    exit 1
  fi
  if ! grep -qF -e "$text" <<<"$output"; then
    printf 'FAIL: failed without "%s": %s\n%s\n' "$text" "$*" "$output"
    exit 1
  fi
}

for compiler in g++ clang++-14; do
  build=$work/$compiler
  cmake -S "$here" -B "$build" -G Ninja -D CMAKE_CXX_COMPILER="$compiler" \
    -D CMAKE_EXPORT_COMPILE_COMMANDS=ON
  cmake --build "$build" --target no_fault heap_overflow signed_overflow
  "$build/no_fault"
  fails_with "-Werror" cmake --build "$build" --target warning
  fails_with "heap-buffer-overflow" "$build/heap_overflow"
  fails_with "signed integer overflow" "$build/signed_overflow"
done

clang-tidy-14 --load "$tidy_plugin" -p "$work/clang++-14" --quiet "$here/no_fault.cpp"
fails_with "bugprone-narrowing-conversions" \
  clang-tidy-14 --load "$tidy_plugin" -p "$work/clang++-14" --quiet "$here/warning.cpp"
