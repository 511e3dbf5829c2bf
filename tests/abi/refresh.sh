#!/bin/sh
# usage: refresh.sh [shared library]
# Takes the exported symbols and struct layouts of today as the ones that are meant. Read the difference
# before you commit it: what disappears or moves breaks programs that are built already.
set -eu
[ $# -eq 0 ] || library=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
cd "$(dirname "$0")"
library=${library:-}
if [ -z "$library" ]; then
    library=$(ls -t ../../build/*/blondel/libblondel.so 2>/dev/null | head -n 1)
    [ -n "$library" ] || { echo "build first: cd tests && cmake --preset dev && cmake --build --preset dev"; exit 1; }
fi
sh layout.sh --refresh
sh symbols.sh "$library" --refresh
git --no-pager diff --stat -- symbols.txt layout.txt
