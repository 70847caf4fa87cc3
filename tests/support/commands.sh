# SPDX-License-Identifier: ISC
# For test scripts of the commands, in place of counts.sh: a scratch folder of their own to work in, the program as
# $coilwright, presets in $presets, one date.
. tests/support/counts.sh
export LC_ALL=C.UTF-8 SOURCE_DATE_EPOCH=1795651200
coilwright=$(realpath "$CW_PROGRAM")
presets=$(realpath presets)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$scratch" || exit 1

# says STATUS TEXT ARGUMENTS...: of standard output and error together, within SAYS_SECONDS (60).
says() {
    status=$1 text=$2
    shift 2
    timeout "${SAYS_SECONDS:-60}" "$coilwright" "$@" >out 2>&1 </dev/null
    got=$?
    if [ $got = "$status" ] && { [ -z "$text" ] || grep -qF -- "$text" out; }; then pass; else fail "$*: status $got, no '$text': $(cat out)"; fi
}
