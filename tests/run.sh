#!/bin/sh
# Sets up what is missing and runs every test. Needs Debian 12, and root only while packages are missing.
# BLONDEL_DATA  folder of open reference data; tests that want it are skipped without
# PYTHON        interpreter for the tests in Python (default python3)
set -u
cd "$(dirname "$0")/.." || exit 1
root=$PWD
if [ -n "${BLONDEL_DATA:-}" ]; then
    BLONDEL_DATA=$(cd "$BLONDEL_DATA" && pwd) || exit 1
    export BLONDEL_DATA
fi
jobs=$(getconf _NPROCESSORS_ONLN 2>/dev/null || echo 2)
logs=$root/build/log
mkdir -p "$logs"
passed=0
failed=0

# stage <name> <command ...>: one line with its time; the log only where it fails.
stage() {
    name=$1
    shift
    log="$logs/$(printf %s "$name" | tr -c 'A-Za-z0-9' '-').log"
    began=$(date +%s)
    "$@" >"$log" 2>&1
    code=$?
    printf '%-46s %-6s %4d s\n' "$name" "$([ $code -eq 0 ] && echo ok || echo FAILED)" $(($(date +%s) - began))
    if [ $code -ne 0 ]; then
        echo "---- the last lines of $log"
        tail -n 80 "$log"
        echo "----"
    fi
    return $code
}

# A step that is no test of its own counts as one when it fails.
step() { stage "$@" || { failed=$((failed + 1)); return 1; }; }

# Adds the result of ctest or pytest, as its log states it.
count_ctest() {
    line=$(grep -E 'tests passed, [0-9]+ tests? failed out of' "$log" | tail -n 1)
    bad=$(printf %s "$line" | sed -nE 's/.*passed, ([0-9]+) tests? failed.*/\1/p')
    all=$(printf %s "$line" | sed -nE 's/.*out of ([0-9]+).*/\1/p')
    # No summary, or a summary of nothing, is a failure: a run that tests nothing must not look well.
    if [ "${all:-0}" -eq 0 ]; then bad=1 all=1; fi
    passed=$((passed + all - bad))
    failed=$((failed + bad))
}
count_pytest() {
    line=$(tail -n 3 "$log" | grep -E '(passed|failed|error).* in ' | tail -n 1)
    good=$(printf %s "$line" | sed -nE 's/(.* |^)([0-9]+) passed.*/\2/p')
    bad=$(printf %s "$line" | sed -nE 's/(.* |^)([0-9]+) failed.*/\2/p')
    errors=$(printf %s "$line" | sed -nE 's/(.* |^)([0-9]+) errors?.*/\2/p')
    bad=$((${bad:-0} + ${errors:-0}))
    if [ $((${good:-0} + bad)) -eq 0 ]; then bad=1; fi
    passed=$((passed + ${good:-0}))
    failed=$((failed + bad))
    grep -E '^SKIPPED' "$log" || true
}

build() { (cd tests && cmake --preset "$1" && cmake --build --preset "$1" -j "$jobs"); }
test_preset() {
    stage "tests, $1" sh -c "cd tests && ctest --preset $1 -j $jobs"
    count_ctest
}
build_and_test() { step "build, $1" build "$1" && test_preset "$1"; }

python=${PYTHON:-python3}
venv=$root/build/venv
# Installs the binding again only when something that it is made of has changed.
install_binding() {
    stamp=$({
        "$python" -VV
        find CMakeLists.txt include lib bindings/python python-tests/requirements.txt -type f \
            ! -path '*/__pycache__/*' ! -path '*/build/*' | LC_ALL=C sort | xargs sha256sum
    } | sha256sum)
    [ "$(cat "$venv/stamp" 2>/dev/null)" = "$stamp" ] && return 0
    [ -x "$venv/bin/python" ] || "$python" -m venv "$venv" || return 1
    rm -f "$venv/stamp"
    export PIP_DISABLE_PIP_VERSION_CHECK=1
    "$venv/bin/python" -m pip install -q -r python-tests/requirements.txt ./bindings/python || return 1
    printf '%s\n' "$stamp" >"$venv/stamp"
}
docs() { sh docs/build.sh; }

sh tests/setup.sh || exit 1
build_and_test release
build_and_test sanitizers
build_and_test thread-sanitizer
if step "Python, installation" install_binding; then
    stage "tests, Python" "$venv/bin/python" -m pytest -q -rs -p no:cacheprovider python-tests
    count_pytest
fi
step "documentation" docs && passed=$((passed + 1))

echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
