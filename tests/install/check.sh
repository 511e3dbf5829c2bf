#!/bin/sh
# usage: check.sh <build folder>
# Installs the build into a folder that is then moved, and builds the consumer against that copy: with
# CMake (shared and static), with pkg-config (shared and static), and against the sources as a subdirectory.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
build=$(cd "$1" && pwd)
work=$build/install-check
# The build against the sources stays, so that the next run has little to do; the rest begins anew.
for old in "$work"/*; do [ "$old" = "$work/sources" ] || rm -rf "$old"; done
mkdir -p "$work"
say() { printf '== %s\n' "$*"; }

cmake --install "$build" --prefix "$work/first" >"$work/log" 2>&1 || { cat "$work/log"; exit 1; }
mv "$work/first" "$work/copy" # an installed copy may be moved
if grep -rlF "$here/../.." "$work/copy" --include='*.cmake' --include='*.pc'; then
    echo "the files above name the source folder"
    exit 1
fi
pc=$(find "$work/copy" -name blondel.pc)
lib=$(dirname "$(dirname "$pc")")

say "CMake, installed copy"
cmake -S "$here" -B "$work/installed" -G Ninja -DCMAKE_PREFIX_PATH="$work/copy" >"$work/log" 2>&1 &&
    cmake --build "$work/installed" >"$work/log" 2>&1 || { cat "$work/log"; exit 1; }
"$work/installed/consumer_blondel"
"$work/installed/consumer_blondel_static"
if readelf -d "$work/installed/consumer_blondel_static" | grep -q blondel; then
    echo "the static consumer needs the shared library"
    exit 1
fi

say "pkg-config, installed copy"
PKG_CONFIG_PATH=$(dirname "$pc")
export PKG_CONFIG_PATH
# shellcheck disable=SC2046
cc -std=c99 -Wall -Wextra -Wpedantic -Werror "$here/consumer.c" -o "$work/shared" $(pkg-config --cflags --libs blondel)
LD_LIBRARY_PATH="$lib" "$work/shared"
# shellcheck disable=SC2046
cc -std=c99 -Wall -Wextra -Wpedantic -Werror "$here/consumer.c" -o "$work/static" $(pkg-config --cflags blondel) \
    -Wl,-Bstatic -L"$lib" -lblondel -Wl,-Bdynamic $(pkg-config --static --libs-only-l blondel | sed 's/-lblondel//')
"$work/static"

say "CMake, sources as a subdirectory"
cmake -S "$here" -B "$work/sources" -G Ninja -DBLONDEL_SOURCE="$here/../.." \
    $(command -v ccache >/dev/null && echo -DCMAKE_CXX_COMPILER_LAUNCHER=ccache) >"$work/log" 2>&1 &&
    cmake --build "$work/sources" >"$work/log" 2>&1 || { cat "$work/log"; exit 1; }
"$work/sources/consumer_blondel"
"$work/sources/consumer_blondel_static"

say "version file"
printf 'cmake_minimum_required(VERSION 3.25)\nproject(p NONE)\nfind_package(blondel 9.0 CONFIG REQUIRED)\n' \
    >"$work/CMakeLists.txt"
if cmake -S "$work" -B "$work/nine" -DCMAKE_PREFIX_PATH="$work/copy" >"$work/log" 2>&1; then
    echo "the package claims to be version 9"
    exit 1
fi
