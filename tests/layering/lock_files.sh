#!/usr/bin/env bash
# Lists of npm packages name what is wanted and its digest, never where it was fetched: whoever builds
# uses the registry of their own.
#
#   bash tests/layering/lock_files.sh [TREE]
set -euo pipefail
root=${1:-$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)}
cd "$root"

failures=0
refuse() {
  printf 'FAIL: %s\n' "$1"
  failures=$((failures + 1))
}

mapfile -t files < <(
  find . \( -path ./build -o -path ./.git -o -name node_modules \) -prune -o -type f \
    \( -name package-lock.json -o -name npm-shrinkwrap.json -o -name yarn.lock -o -name .yarnrc \
    -o -name pnpm-lock.yaml -o -name .npmrc \) -print | sort
)
((${#files[@]} > 0)) || refuse "no lock files found below $root"

for file in "${files[@]}"; do
  if grep -nE '"?resolved"?:' "$file"; then
    refuse "$file says where a package was fetched"
  fi
  # A package may ask for money at an address, on a line of its own.
  if grep -vE '^ +"url": "https://[^"]*",?$' "$file" | grep -E '://'; then
    refuse "$file holds an address"
  fi
  if grep -niE '(^|[^a-z-])registry|_auth|:_password' "$file"; then
    refuse "$file names a registry"
  fi
done
mapfile -t lists < <(
  find . \( -path ./build -o -path ./.git -o -name node_modules \) -prune -o -type f \
    -name package.json -print | sort
)
for file in "${lists[@]}"; do
  folder=${file%/*}
  for beside in package-lock.json .npmrc; do
    [[ -f $folder/$beside ]] || refuse "$file has no $beside beside it"
  done
  grep -qx 'omit-lockfile-registry-resolved=true' "$folder/.npmrc" ||
    refuse "$folder/.npmrc lets npm write addresses into the lock file"
done

((failures == 0)) || exit 1
printf '%d lock and npm files hold no address\n' "${#files[@]}"
