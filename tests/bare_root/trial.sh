#!/usr/bin/env bash
# Tries the two set-up commands on a Debian that has nothing installed: makes a root folder of that
# release, lays a clone of HEAD there, and runs app/quickstart.sh and tests/run.sh inside, as root and
# without a terminal. Then runs both again, which must find nothing left to do.
#
#   bash tests/bare_root/trial.sh bookworm|trixie
#
# Needs root, debootstrap, git and a Debian machine: packages come from the mirror that its own apt
# uses. Takes some minutes and about 3 GB while it runs.
set -euo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)

release=${1:-}
if [[ $release != bookworm && $release != trixie ]]; then
  printf 'usage: bash tests/bare_root/trial.sh bookworm|trixie\n' >&2
  exit 2
fi
for command in debootstrap git chroot apt-get apt-config; do
  command -v "$command" >/dev/null || {
    printf 'this trial needs %s\n' "$command" >&2
    exit 2
  }
done
((EUID == 0)) || {
  printf 'this trial needs root\n' >&2
  exit 2
}

mirror=$(apt-get indextargets --format "\$(REPO_URI)" 'Created-By: Packages' | grep -v security |
  head -n 1)
[[ -n $mirror ]] || {
  printf 'the apt of this machine names no mirror\n' >&2
  exit 2
}

root=$(mktemp -d)
clean_up() {
  local folder
  for folder in dev proc; do
    if mountpoint -q "$root/$folder"; then
      umount "$root/$folder"
    fi
  done
  # Never into a folder that is still mounted.
  rm -rf --one-file-system "$root"
}
trap clean_up EXIT

# timed NAME COMMAND...
timed() {
  local name=$1 started=$SECONDS
  shift
  printf '\n== %s: %s\n' "$release" "$name"
  "$@"
  printf '== %s: %s took %d s\n' "$release" "$name" $((SECONDS - started)) | tee -a "$root/times"
}

inside() {
  env -i HOME=/root PATH=/usr/sbin:/usr/bin:/sbin:/bin LANG=C.UTF-8 "${passed_on[@]}" \
    chroot "$root" "$@" </dev/null
}

timed "bare system" debootstrap --variant=minbase "$release" "$root" "$mirror" >"$root.log" ||
  {
    cat "$root.log"
    exit 1
  }
rm -f "$root.log"
mount -t proc proc "$root/proc"
mount --bind /dev "$root/dev"

# How this machine reaches its mirror and the npm registry holds inside too.
apt-config dump | grep -E '^Acquire::(http|https|Check|Retries)' >"$root/etc/apt/apt.conf.d/90trial" ||
  true
passed_on=()
for name in http_proxy https_proxy no_proxy HTTP_PROXY HTTPS_PROXY NO_PROXY; do
  [[ -z ${!name:-} ]] || passed_on+=("$name=${!name}")
done
if [[ -n ${NODE_EXTRA_CA_CERTS:-} ]]; then
  cp -L "$NODE_EXTRA_CA_CERTS" "$root/root/certificates.pem"
  passed_on+=("NODE_EXTRA_CA_CERTS=/root/certificates.pem")
fi

git clone --quiet --no-hardlinks "$checkout" "$root/root/lashband"

for round in first second; do
  timed "$round app/quickstart.sh" inside bash /root/lashband/app/quickstart.sh
  timed "$round tests/run.sh" inside bash /root/lashband/tests/run.sh
done

printf '\n'
cat "$root/times"
