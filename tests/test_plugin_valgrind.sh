#!/bin/bash
# SPDX-License-Identifier: ISC
# Uninitialised values and leaks, which the sanitizers of one compiler do not show: the plugin
# through every preset, and in a host of other people's, under valgrind.
. tests/support/counts.sh
need valgrind 'the plugin is not run under it' || counts_done
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
under() {
    valgrind -q --error-exitcode=9 --leak-check=full --errors-for-leak-kinds=definite --keep-debuginfo=yes "$@" >"$scratch/log" 2>&1
    status=$?
    [ $status = 0 ] || tail -n 30 "$scratch/log"
    return $status
}
check 'the presets under valgrind' under "$CW_BUILD/tests/test_ttl"
if need lv2apply 'a stock host is not run under valgrind' && need sox 'a stock host is not run under valgrind'; then
    sox -n -r 48000 -c 1 -e float -b 32 "$scratch/in.wav" synth 0.2 pluck E2 gain -6
    check 'lv2apply under valgrind' under lv2apply -i "$scratch/in.wav" -o "$scratch/out.wav" \
        -c a_coils 1 -c a_split 1 -c a_split_by 2 -c rec_volume 6 urn:coilwright:voicing
    check 'nothing came out' test -s "$scratch/out.wav"
fi
counts_done
