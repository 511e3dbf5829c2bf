#!/bin/sh
# blondel.hpp compiles alone as C++17 without a warning, and calls every function of blondel.h.
set -eu
cd "$(dirname "$0")/../.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
printf '#include <blondel/blondel.hpp>\n#include <blondel/blondel.hpp>\n' >"$work/alone.cpp"
for compiler in c++ clang++; do
    command -v "$compiler" >/dev/null || continue
    "$compiler" -std=c++17 -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Werror -Iinclude -fsyntax-only "$work/alone.cpp"
done
grep -oE '\bbln_[a-z0-9_]+\(' include/blondel/blondel.h | tr -d '(' | sort -u >"$work/declared"
# Comments name functions too: only what the code calls counts.
sed 's@//.*@@' include/blondel/blondel.hpp | grep -oE '\bbln_[a-z0-9_]+' | sort -u >"$work/called"
missing=$(comm -23 "$work/declared" "$work/called")
[ -z "$missing" ] || { echo "blondel.hpp does not wrap: $missing"; exit 1; }
echo "$(wc -l <"$work/declared") functions wrapped"
