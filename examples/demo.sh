#!/bin/sh
# Sets up what is missing, builds library and audit program, and audits the demo site: first a record
# with six mistakes, before any cover is closed, then the corrected building in operation, then a month of bills.
# Needs Debian 12, and root only while packages are missing. The second run takes a second or two.
set -eu
cd "$(dirname "$0")/.."
build=build/demo
log=$build/setup.log
mkdir -p "$build"

# shellcheck disable=SC2046
sh tests/setup.sh $(sed 's/#.*//' examples/packages.txt)

[ -x "$build/month" ] || echo "Building the library once; this takes about a minute ..."
{
    [ -f "$build/build.ninja" ] ||
        cmake -S examples -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=Release -DBLONDEL_SOURCE="$PWD"
    cmake --build "$build" --target audit month plan
    if [ ! -f "$build/registers-november.csv" ] || [ ! -f "$build/intervals.csv" ] || [ -n "$(find examples/make_demo.py examples/demo -newer "$build/intervals.csv")" ]; then
        python3 examples/make_demo.py intervals "$build"
        python3 examples/make_demo.py november "$build"
    fi
} >"$log" 2>&1 || {
    cat "$log" >&2
    echo "The demo could not be set up; the lines above say why." >&2
    exit 1
}

site=examples/harbour-mill
rule() { printf '\n%s\n\n' "===================================================================================================="; }

# A wrong building is a result, not a failure: the program then ends with 1, and with 2 when it could
# not do its work.
audit() { "$build/audit" "$@" || [ $? -eq 1 ]; }

rule
echo "PART ONE. The record as it was handed over. It holds six mistakes; the meters were set up by it."
echo "\$ audit site-mistakes.json --intervals intervals-mistakes.csv"
rule
audit "$site/site-mistakes.json" --intervals "$build/intervals-mistakes.csv"
rule
echo "PART TWO. The record is corrected. Two CTs hang otherwise than it says, and nobody knows yet."
echo "\$ audit site.json --readings readings.csv --intervals intervals.csv"
rule
audit "$site/site.json" --readings "$site/readings.csv" --intervals "$build/intervals.csv"
rule
echo "PART THREE. November. A tenant moves out and another one in, a CT is exchanged, clocks are set back."
echo "\$ month site-november.json registers-november.csv map-november.json ... tariff-november.json 2026-11"
rule
zone=/usr/share/zoneinfo/America/New_York
edition=$(head -n 1 /usr/share/zoneinfo/tzdata.zi 2>/dev/null | sed -n 's/^# version //p')
"$build/month" "$site/site-november.json" "$build/registers-november.csv" "$build/map-november.json" "$zone" \
    "${edition:-unknown}" "$site/tariff-november.json" 2026-11
rule
echo "PART FOUR. The second floor is to be renovated: which new circuit goes to which input, and the installer's sheet."
echo "\$ plan site.json renovation.json renovation-request.json"
rule
"$build/plan" "$site/site.json" "$site/renovation.json" "$site/renovation-request.json"
