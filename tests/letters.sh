#!/bin/bash
# SPDX-License-Identifier: ISC
# 1,000 letters without names, each with its candidates in an order of chance: does anything but the sound tell which
# is which? make check-letters runs it; it ends with 'N passed, N failed'. LETTERS says how many.
. tests/support/counts.sh
program=$(realpath "${CW_PROGRAM:-build/coilwright}")
presets=$(realpath presets)
guess=$(realpath tests/support/letter_guess.py)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
need sox 'no letters' && need python3 'nobody guesses' || counts_done
sox -D -R -n -r 8000 -b 16 -c 1 "$scratch/take.wav" synth 1 pinknoise vol 0.3
mkdir "$scratch/letters"
# letter N: two candidates in an order of chance, and everything else as the program draws it.
letter() {
    set -- "$1" "$presets/job-12-full.ttl" "$presets/dark-coil.ttl"
    [ $((0x$(od -An -N1 -tx1 /dev/urandom | tr -d ' ') & 1)) = 1 ] && set -- "$1" "$3" "$2"
    "$program" blind --di "$scratch/take.wav" --seconds 1 --trials 4 -o "$scratch/letters/$1.html" --key "$scratch/letters/$1.txt" "$2" "$3" >/dev/null
}
export -f letter
export program presets scratch
seq "${LETTERS:-1000}" | xargs -P "${JOBS:-2}" -I N bash -c 'letter N'
check "all letters were made" test "$(find "$scratch/letters" -name '*.txt' | wc -l)" = "${LETTERS:-1000}"
/usr/bin/python3 "$guess" "$scratch/letters" >"$scratch/said" 2>&1
counted "$scratch/said" 'the guessers'
counts_done
