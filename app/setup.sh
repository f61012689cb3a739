# shellcheck shell=bash
# Set-up steps that app/quickstart.sh, tests/run.sh and .ci/run share; to be sourced.
#
# What is needed is looked for by command and by header, not by package, so that a compiler or a Node
# of another origin serves as well. Debian packages are installed for what is not found:
#
#   need PACKAGE TEST...   notes PACKAGE unless the command TEST succeeds
#   install_needed         installs what was noted

needed=()

need() {
  local package=$1
  shift
  "$@" >/dev/null 2>&1 || needed+=("$package")
}

have() { command -v "$1"; }

have_header() {
  printf '#if !__has_include(<%s>)\n#error missing\n#endif\n' "$1" | g++ -std=c++20 -E -x c++ -
}

have_library() {
  local name
  for name in "lib$1.a" "lib$1.so"; do
    # The bare name comes back when the linker would not find it.
    [[ $(g++ -print-file-name="$name") == */* ]] && return 0
  done
  return 1
}

need_build_packages() {
  need cmake have cmake
  need g++ have g++
  need ninja-build have ninja
  need libboost-dev have_header boost/units/quantity.hpp
  need nlohmann-json3-dev have_header nlohmann/json.hpp
  need libcli11-dev have_header CLI/CLI.hpp
  need libmd-dev have_header sha256.h
  need libmd-dev have_library md
  need libhwy-dev have_header hwy/highway.h
  need libhwy-dev have_library hwy
  need libeigen3-dev have_header eigen3/Eigen/Dense
}

# Node 18 or newer, of any origin.
have_node() { node -e 'process.exit(parseInt(process.versions.node) >= 18 ? 0 : 1)'; }

need_node() {
  need nodejs have_node
  need npm have npm
}

# What draws the charts of a report, into build/page, where CMake looks for it.
fetch_page_packages() {
  bash app/node_packages.sh lib/src/report/html/page build/page
}

# Debian 12 and 13, the systems this was tried on.
on_supported_debian() {
  local ID="" VERSION_ID=""
  [[ -r /etc/os-release ]] || return 1
  # shellcheck source=/dev/null
  . /etc/os-release
  [[ $ID == debian && ($VERSION_ID == 12 || $VERSION_ID == 13) ]]
}

# as_root COMMAND...: runs it, through sudo where the user is not root.
as_root() {
  if ((EUID == 0)); then
    "$@"
  else
    sudo "$@"
  fi
}

install_needed() {
  ((${#needed[@]} > 0)) || return 0
  local -a packages
  mapfile -t packages < <(printf '%s\n' "${needed[@]}" | sort -u)
  needed=()

  if ! on_supported_debian; then
    printf 'This script installs packages on Debian 12 and 13 only. What is missing here, by its\n' >&2
    printf 'names on Debian: %s\n' "${packages[*]}" >&2
    exit 2
  fi
  if ((EUID != 0)); then
    if [[ ! -t 0 || ! -t 2 ]] || ! have sudo >/dev/null; then
      printf 'Missing packages; as root run: apt-get install --no-install-recommends %s\n' \
        "${packages[*]}" >&2
      exit 2
    fi
    local answer
    read -r -p "Install ${packages[*]} with sudo apt-get? [y/N] " answer
    if [[ $answer != [yY]* ]]; then
      printf 'Nothing was installed.\n' >&2
      exit 2
    fi
  fi

  printf 'Installing %s\n' "${packages[*]}"
  local log
  log=$(mktemp)
  local -a apt_get=(env DEBIAN_FRONTEND=noninteractive apt-get -q -o DPkg::Lock::Timeout=300)
  if ! { as_root "${apt_get[@]}" update &&
    as_root "${apt_get[@]}" install -y --no-install-recommends "${packages[@]}"; } >"$log" 2>&1; then
    cat "$log" >&2
    rm -f "$log"
    printf 'Installing the packages failed; the messages of apt-get are above.\n' >&2
    exit 2
  fi
  rm -f "$log"
}

# build_in FOLDER [CMAKE ARGUMENT...]: configures the checkout in FOLDER and builds it.
build_in() {
  local folder=$1
  shift
  local -a generator=()
  [[ -f $folder/CMakeCache.txt ]] || generator=(-G Ninja)
  cmake -S . -B "$folder" "${generator[@]}" "$@"
  cmake --build "$folder" --parallel "$(nproc)"
}
