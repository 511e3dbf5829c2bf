#!/bin/sh
# Builds the documentation into build/docs/html; a warning is an error.
set -eu
cd "$(dirname "$0")/.."
mkdir -p build/docs
doxygen docs/Doxyfile
