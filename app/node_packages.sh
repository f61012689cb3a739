#!/usr/bin/env bash
# Fetches the npm packages that SOURCE/package-lock.json names into FOLDER/node_modules:
#
#   bash app/node_packages.sh SOURCE FOLDER
#
# FOLDER gets a copy of package.json, package-lock.json and .npmrc, so that SOURCE stays clean. With
# nothing changed since the last time it does nothing and needs no network.
set -euo pipefail

source=$1
folder=$2
files=(package.json package-lock.json .npmrc)

fetched() {
  local file
  # Laid there last, when all else had gone well.
  for file in "${files[@]}"; do
    cmp -s "$source/$file" "$folder/node_modules/.fetched/$file" || return 1
  done
}

if fetched; then
  exit 0
fi
mkdir -p "$folder"
for file in "${files[@]}"; do
  cp "$source/$file" "$folder/$file"
done
# No script of a package is run. Without a way to the registry it gives up within seconds.
if ! (cd "$folder" && npm ci --ignore-scripts --no-audit --no-fund --loglevel=error \
  --fetch-retry-mintimeout=1000 --fetch-retry-maxtimeout=3000); then
  # Half of the packages would be taken for all of them.
  rm -rf "$folder/node_modules"
  exit 1
fi
mkdir -p "$folder/node_modules/.fetched"
for file in "${files[@]}"; do
  cp "$source/$file" "$folder/node_modules/.fetched/$file"
done
