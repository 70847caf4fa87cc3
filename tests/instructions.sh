#!/bin/bash
# SPDX-License-Identifier: ISC
# `make count-instructions`: instructions for one sample of the voice as it stands by default, on this machine by
# valgrind's callgrind, and by what qemu says that it runs one at a time on a processor without AVX2 and
# on AArch64; a longer run less a shorter one.
# $1: the program as it is for this machine, $2: for AArch64.
here=$1 there=$2
SHORT=4096 LONG=16384
counted_here() { valgrind --tool=callgrind --callgrind-out-file=/dev/null "$here" "$@" 2>&1 | sed -n 's/.*Collected : //p'; }
emulated() { "$@" | grep -c '^Trace'; }
counted_old() { emulated qemu-x86_64-static -cpu Opteron_G1,check=off -singlestep -d exec,nochain -D /dev/stdout "$here" "$@"; }
counted_there() { emulated qemu-aarch64-static -singlestep -d exec,nochain -D /dev/stdout "$there" "$@"; }
# of COUNTER BLOCK: of a sample.
of() {
    long=$("$1" "$2" $LONG) short=$("$1" "$2" $SHORT)
    awk -v long="$long" -v short="$short" -v samples=$((LONG - SHORT)) 'BEGIN {
        if (long - short < samples) { exit 1 }
        printf "%.1f\n", (long - short) / samples }'
}
# what MACHINE COUNTER BLOCK: its words.
what() {
    local count
    if ! count=$(of "$2" "$3"); then
        echo "on $1 nothing was counted" >&2
        exit 1
    fi
    echo "$count on $1"
}
for block in 16 64 256; do
    line="blocks of $block: $(what "$(uname -m)" counted_here $block)" || exit 1
    if [ "$(uname -m)" = x86_64 ]; then
        line+=", $(what 'it without AVX2' counted_old $block)" || exit 1
    fi
    line+=", $(what aarch64 counted_there $block)" || exit 1
    echo "$line"
done
