#!/bin/sh
# Dependencies go one way: power <- site <- {rules, plan, proof, energy} <- capi <- bindings.
set -eu
cd "$(dirname "$0")/../.."
failed=0

# allowed <folder> <rooms it may include, separated by |>
allowed() {
    [ -d "$1" ] || return 0
    wrong=$(grep -rnE '^[[:space:]]*#[[:space:]]*include[[:space:]]*["<](power|site|rules|plan|proof|energy|capi)/' "$1" |
        grep -vE "include[[:space:]]*[\"<]($2)/" || true)
    [ -z "$wrong" ] && return 0
    printf '%s may include %s only:\n%s\n' "$1" "$2" "$wrong"
    failed=1
}
allowed lib/power power
allowed lib/site 'power|site'
for sibling in rules plan proof energy; do allowed lib/$sibling "power|site|$sibling"; done
allowed include none
allowed bindings none
allowed examples none
allowed tests/capi none

# Relative and project-external paths would get round the rule above.
wrong=$(grep -rnE '^[[:space:]]*#[[:space:]]*include[[:space:]]*["<](\.\.?/|lib/)' lib include bindings examples 2>/dev/null || true)
[ -z "$wrong" ] || { printf 'include by room, not by relative path:\n%s\n' "$wrong"; failed=1; }

# Only lib/capi knows the handles of the C interface; the core uses the header for status numbers alone.
wrong=$(grep -rnE '\bbln_(draft|site|view|policy|report|catalogue|form|text|error)\b' lib/power lib/site lib/rules lib/plan \
    lib/proof lib/energy 2>/dev/null || true)
[ -z "$wrong" ] || { printf 'handles of the C interface outside lib/capi:\n%s\n' "$wrong"; failed=1; }
exit $failed
