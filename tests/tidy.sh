#!/bin/sh
# usage: tidy.sh [file pattern]   clang-tidy over the library; clean, or the list of what is not.
set -eu
cd "$(dirname "$0")/.."
sh tests/setup.sh $(sed 's/#.*//' tests/packages.txt) clang-tidy
(cd tests && cmake --preset dev >/dev/null)
log=$(mktemp)
trap 'rm -f "$log"' EXIT
code=0
run-clang-tidy -quiet -extra-arg=-Wno-unknown-warning-option -p build/dev "${1:-$PWD/lib/}" >"$log" 2>/dev/null || code=$?
grep -vE '^clang-tidy|^$' "$log" || true
exit $code
