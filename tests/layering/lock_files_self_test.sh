#!/usr/bin/env bash
# Proves that lock_files.sh can fail.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failures=0

fresh_tree() {
  rm -rf "$work/tree"
  mkdir -p "$work/tree/page"
  printf '{}\n' >"$work/tree/page/package.json"
  printf '{\n      "funding": {\n        "url": "https://example.org/give"\n      }\n}\n' \
    >"$work/tree/page/package-lock.json"
  printf 'omit-lockfile-registry-resolved=true\n' >"$work/tree/page/.npmrc"
}
accepts() {
  if ! bash "$here/lock_files.sh" "$work/tree" >"$work/out"; then
    printf 'FAIL: refused though allowed: %s\n' "$1"
    cat "$work/out"
    failures=$((failures + 1))
  fi
}
refuses() {
  if bash "$here/lock_files.sh" "$work/tree" >"$work/out"; then
    printf 'FAIL: accepted: %s\n' "$1"
    failures=$((failures + 1))
  fi
}

fresh_tree
accepts "a lock file with an address for gifts"
# plant WHAT FILE LINE
plant() {
  fresh_tree
  printf '%s\n' "$3" >>"$work/tree/$2"
  refuses "$1"
}
plant "where a package came from" page/package-lock.json '  "resolved": "a-1.0.0.tgz",'
plant "an address" page/package-lock.json '  "version": "https://packages.example/a.tgz",'
plant "a registry" page/.npmrc 'registry=//packages.example/'
plant "a registry of a scope" page/.npmrc '@scope:registry=//packages.example/'
plant "a secret" page/.npmrc '//packages.example/:_authToken=x'
fresh_tree
rm "$work/tree/page/package-lock.json"
refuses "packages without a lock file"
fresh_tree
: >"$work/tree/page/.npmrc"
refuses "an .npmrc that keeps addresses"
mkdir "$work/empty"
rm -rf "$work/tree"
mv "$work/empty" "$work/tree"
refuses "an empty tree"

((failures == 0)) || exit 1
printf 'every planted fault was found\n'
