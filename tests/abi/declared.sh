#!/bin/sh
# The functions that the public header declares, one a line, sorted.
set -eu
header=$(dirname "$0")/../../include/blondel/blondel.h
sed -n 's/^BLN_API .*[ *]\(bln_[a-z0-9_]*\)(.*/\1/p' "$header" | LC_ALL=C sort
