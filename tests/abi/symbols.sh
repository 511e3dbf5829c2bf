#!/bin/sh
# usage: symbols.sh <shared library> [--refresh]
# What the library exports = what the header declares = tests/abi/symbols.txt.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
library=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
nm -D --defined-only "$library" >"$work/nm"
awk '{print $NF}' "$work/nm" | sed 's/@.*//' | LC_ALL=C sort >"$work/exported"
sh "$here/declared.sh" >"$work/declared"
failed=0
if ! diff "$work/declared" "$work/exported" >"$work/diff"; then
    sed -n 's/^< /declared in the header, not defined: /p; s/^> /exported, not in the header: /p' "$work/diff"
    failed=1
fi
if [ "${2:-}" = --refresh ]; then
    cp "$work/exported" "$here/symbols.txt"
elif ! diff "$here/symbols.txt" "$work/exported" >"$work/diff"; then
    sed -n 's/^< /gone: /p; s/^> /new: /p' "$work/diff"
    echo "The exported symbols changed. Where that is meant, run sh tests/abi/refresh.sh and commit the difference."
    failed=1
fi
exit $failed
