#!/bin/bash
# SPDX-License-Identifier: ISC
# `make count-instructions`: instructions for one sample of the voice as it stands by default, on this machine by
# valgrind's callgrind and on AArch64 by what qemu says that it runs one at a time; a longer run less a shorter one.
# $1: the program as it is for this machine, $2: for AArch64.
here=$1 there=$2
SHORT=4096 LONG=16384
counted_here() { valgrind --tool=callgrind --callgrind-out-file=/dev/null "$here" "$@" 2>&1 | sed -n 's/.*Collected : //p'; }
counted_there() { qemu-aarch64-static -singlestep -d exec,nochain -D /dev/stdout "$there" "$@" | grep -c '^Trace'; }
# of COUNTER BLOCK: of a sample.
of() {
    long=$("$1" "$2" $LONG) short=$("$1" "$2" $SHORT)
    awk -v long="$long" -v short="$short" -v samples=$((LONG - SHORT)) 'BEGIN {
        if (long - short < samples) { exit 1 }
        printf "%.1f\n", (long - short) / samples }'
}
for block in 16 64 256; do
    if ! mine=$(of counted_here $block) || ! theirs=$(of counted_there $block); then
        echo "nothing was counted" >&2
        exit 1
    fi
    echo "blocks of $block: $mine on $(uname -m), $theirs on aarch64"
done
