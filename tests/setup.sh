#!/bin/sh
# usage: setup.sh [package ...]
# Sees to it that the Debian packages named (default: those of packages.txt) are installed. Silent when
# they are. As root it installs what is missing; otherwise it says what to do.
set -eu
[ $# -gt 0 ] || set -- $(sed 's/#.*//' "$(dirname "$0")/packages.txt")
if ! command -v dpkg-query >/dev/null; then
    echo "This is not a Debian system: please see to it yourself that you have what these packages hold: $*" >&2
    exit 0
fi
missing=
for package; do
    dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q 'ok installed' || missing="$missing $package"
done
[ -n "$missing" ] || exit 0
if [ "$(id -u)" -ne 0 ]; then
    echo "Packages are missing. Please install them and run this again:" >&2
    echo "    sudo apt-get install --no-install-recommends$missing" >&2
    exit 1
fi
echo "installing:$missing"
log=$(mktemp)
trap 'rm -f "$log"' EXIT
export DEBIAN_FRONTEND=noninteractive
# shellcheck disable=SC2086
{ apt-get update && apt-get install -y --no-install-recommends $missing; } >"$log" 2>&1 || {
    cat "$log" >&2
    exit 1
}
