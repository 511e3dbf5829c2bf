#!/bin/sh
# usage: layout.sh [--refresh]
# Size and offsets of every public struct, as the compiler sees them, against tests/abi/layout.txt.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
python3 "$here/layout.py" "$here/../../include/blondel/blondel.h" >"$work/layout.c"
cc -std=c99 -Wall -Wextra -Werror -I"$here/../../include" "$work/layout.c" -o "$work/layout"
"$work/layout" >"$work/now"
if [ "$(getconf LONG_BIT)" != 64 ]; then
    echo "skipped: layout.txt describes 64-bit platforms"
    exit 0
fi
if [ "${1:-}" = --refresh ]; then
    cp "$work/now" "$here/layout.txt"
elif ! diff "$here/layout.txt" "$work/now" >"$work/diff"; then
    sed -n 's/^< /was: /p; s/^> /is:  /p' "$work/diff"
    echo "The layout of public structs changed. Where that is meant, run sh tests/abi/refresh.sh and commit the difference."
    exit 1
fi
