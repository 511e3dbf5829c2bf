#!/bin/sh
# The public headers, alone and included twice, as C and C++, without a single warning; and its version
# is that of the project.
set -eu
root=$(cd "$(dirname "$0")/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
printf '#include <blondel/blondel.h>\n#include <blondel/blondel.h>\n' >"$work/twice.c"
printf 'int main(void) { return BLN_OK; }\n' >>"$work/twice.c"
{
    for header in "$root"/include/blondel/*.h*; do
        printf '#include <blondel/%s>\n#include <blondel/%s>\n' "${header##*/}" "${header##*/}"
    done
    printf 'int main() { return BLN_OK; }\n'
} >"$work/twice.cpp"
strict='-Wall -Wextra -Wpedantic -pedantic-errors -Werror -Wundef -Wconversion -fsyntax-only'
failed=0
for pair in gcc:g++ clang:clang++; do
    c=${pair%%:*}
    cxx=${pair##*:}
    command -v "$c" >/dev/null || { echo "$c is missing"; exit 1; }
    for std in c99 c11 c17; do
        # shellcheck disable=SC2086
        "$c" -std=$std $strict -Wstrict-prototypes -Wc++-compat -I"$root/include" "$work/twice.c" || failed=1
    done
    for std in c++17 c++20; do
        # shellcheck disable=SC2086
        "$cxx" -std=$std $strict -Wold-style-cast -I"$root/include" "$work/twice.cpp" || failed=1
    done
done
header=$(sed -n 's/^#define BLN_VERSION_TEXT "\(.*\)"/\1/p' "$root/include/blondel/blondel.h")
project=$(sed -n 's/^project(blondel VERSION \([0-9.]*\).*/\1/p' "$root/CMakeLists.txt")
number=$(sed -n 's/^#define BLN_VERSION_NUMBER \([0-9]*\)/\1/p' "$root/include/blondel/blondel.h")
[ "$header" = "$project" ] || { echo "BLN_VERSION_TEXT is $header, the project is $project"; failed=1; }
[ "$number" = "$(echo "$header" | awk -F. '{print $1 * 1000000 + $2 * 1000 + $3}')" ] ||
    { echo "BLN_VERSION_NUMBER $number is not $header"; failed=1; }
exit $failed
