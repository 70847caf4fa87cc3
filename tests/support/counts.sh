# SPDX-License-Identifier: ISC
# Counting for test scripts: . tests/support/counts.sh, then pass, fail, check, skip; at the end
# counts_done.
# The runner gives a test its environment; without one it would search for files named '' and wait at the keyboard.
if [ -z "$BASH_VERSION" ] || [ -z "$CW_PROGRAM" ]; then
    echo "$0: run it as: sh tests/run $0" >&2
    exit 2
fi
exec </dev/null
passed=0
failed=0
skipped=0

pass() { passed=$((passed + 1)); }
fail() { failed=$((failed + 1)); echo "FAIL: $*"; }
# check WHAT COMMAND...: passes where the command succeeds.
check() {
    what=$1
    shift
    if "$@"; then pass; else fail "$what"; fi
}
# Said aloud by the runner, once for each call.
skip() { skipped=$((skipped + 1)); echo "SKIP: $*"; }
# need COMMAND REASON: true where the command is there, else a skip.
need() {
    command -v "$1" >/dev/null 2>&1 && return 0
    skip "$1 is not installed: $2"
    return 1
}
# counted LOG WHAT: adds what another program counted, whose last line is 'N passed, N failed', and says the rest.
counted() {
    grep -v ' passed, .* failed$' "$1"
    last=$(tail -n 1 "$1")
    case $last in
    *' passed, '*' failed') passed=$((passed + ${last%% *})) failed=$((failed + $(echo "$last" | cut -d' ' -f3))) ;;
    *) fail "$2 broke off: $(tail -n 3 "$1")" ;;
    esac
}
counts_done() {
    echo "$passed passed, $failed failed"
    [ "$failed" = 0 ] && [ $((passed + skipped)) != 0 ]
    exit
}
