#!/bin/bash
# SPDX-License-Identifier: ISC
# One phrase through the core on this machine and on another: the same sound to the last bit of a sample or two, what was
# learned of it the same to the bit, and a session that one saved sounds the same opened on the other.
#
#   tests/foreign/sound.sh NAME SOUND RUNNER... -- FOREIGN-SOUND      both built of tests/campaign/sound.c
set -u
. tests/foreign/beside.sh
name=$1
shift
programs "$@"
root=$(mktemp -d) || exit 2
trap 'rm -rf "$root"' EXIT
cd "$root" || exit 2
by_here() { "$here" "$@"; }
by_there() { "${runner[@]}" "$there" "$@"; }

# same WHAT FILE FILE: to 140 dB under the largest sample.
same() {
    local near
    if ! near=$(how_near "$2" "$3"); then
        echo "$name: $1: not of one length, or silent"
        exit 1
    fi
    awk -v near="$near" -v what="$name: $1" -v all=$(($(stat -c %s "$2") / 4)) 'BEGIN {
        split(near, n, " ")
        far = n[2] > 0 ? sprintf("; the worst is %.0f dB under the peak", -20 * log(n[2]) / log(10)) : ""
        printf "%s: %d of %d samples differ%s\n", what, n[1], all, far
        exit n[2] > 1e-7 }' || exit 1
}

by_here - here.f32 here.learned && by_there - there.f32 there.learned || exit 1
same 'the same phrase' here.f32 there.f32
if ! cmp here.learned there.learned; then
    echo "$name: other levels were learned"
    exit 1
fi
# Begun with what the other learned, and with what was learned by itself.
by_here there.learned here.f32 learned && by_there here.learned there.f32 learned || exit 1
same "opened with the other's levels" here.f32 there.f32
cp here.learned whole
by_here whole again.f32 learned || exit 1
cmp -s here.f32 again.f32 || { echo "$name: its own levels sound other than the other's"; exit 1; }
# What is not whole is not opened, on either.
head -c 1000 whole >part
if by_here part x x 2>/dev/null || by_there part x x 2>/dev/null; then
    echo "$name: half of what was learned was opened"
    exit 1
fi
