#!/bin/sh
# Builds what is shipped and measures it: reading and checking a large site against merely parsing the same
# text, the size of the stripped library, and the time that `import blondel` takes. Never part of the tests.
set -eu
cd "$(dirname "$0")/../.."
# shellcheck disable=SC2046
sh tests/setup.sh $(sed 's/#.*//' tests/packages.txt) libbenchmark-dev binutils
(cd tests && cmake --preset bench && cmake --build --preset bench) >build/bench.log 2>&1 || { cat build/bench.log; exit 1; }
build/bench/bench --benchmark_counters_tabular=true "$@"

library=build/bench/blondel/libblondel.so
strip -o build/bench/stripped.so "$library"
wc -c <build/bench/stripped.so | awk '{printf "stripped library: %.2f MB (aim: at most 1.5)\n", $1 / 1e6}'

python=build/venv/bin/python
if [ -x "$python" ] && "$python" -c 'import blondel' 2>/dev/null; then
    "$python" - <<'END'
import statistics
import subprocess
import sys

# The interpreter's own start is not the library's: time the import statement alone, in fresh processes.
code = "import time; t = time.perf_counter(); import blondel; print(time.perf_counter() - t)"
times = [float(subprocess.check_output([sys.executable, "-c", code])) * 1000 for _ in range(11)]
print(f"import blondel: {statistics.median(times):.1f} ms, median of {len(times)} (aim: at most 50)")
END
else
    echo "import blondel: not measured (sh tests/run.sh installs the binding)"
fi
