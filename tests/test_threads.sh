#!/bin/bash
# SPDX-License-Identifier: ISC
# ThreadSanitizer: windows beside audio threads, and audition's threads.
. tests/support/counts.sh
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
# It needs memory where it expects it: no random addresses.
calm=(setarch "$(uname -m)" -R)
printf '#include <pthread.h>\nstatic int x; static void *f(void *p) { x++; return p; }
int main(void) { pthread_t t; pthread_create(&t, 0, f, 0); x++; pthread_join(t, 0); return 0; }\n' >"$scratch/race.c"
if ! gcc -g -fsanitize=thread "$scratch/race.c" -o "$scratch/race" -pthread 2>/dev/null || ! "${calm[@]}" true 2>/dev/null; then
    skip 'gcc has no ThreadSanitizer here'
    echo '0 passed, 0 failed'
    exit 0
fi
"${calm[@]}" "$scratch/race" >"$scratch/log" 2>&1
check 'the sanitizer does not see a race' grep -q 'data race' "$scratch/log"

b=$CW_BUILD/threads
unset MAKEFLAGS CW_BUNDLE CW_PROGRAM
if ! make -s -j "${JOBS:-2}" B="$b" SETUP=true CC=gcc CFLAGS='-O1 -g' EXTRA_CFLAGS='-fsanitize=thread' all "$b/tests/test_realtime_threads" \
    >"$scratch/log" 2>&1; then
    tail -n 20 "$scratch/log"
    fail 'it does not build with -fsanitize=thread'
fi
LV2_PATH=$(cd "$b/lv2" && pwd)
export LV2_PATH CW_BUNDLE=$b/lv2/coilwright.lv2 TSAN_OPTIONS=exitcode=66
run() {
    "${calm[@]}" timeout 300 "$@" >"$scratch/log" 2>&1 && return
    grep -m 1 -A 25 'WARNING: ThreadSanitizer' "$scratch/log" || tail -n 20 "$scratch/log"
    return 1
}
check 'windows beside sound' run "$b/tests/test_realtime_threads"
check 'nothing was counted' grep -q 'PASSED  \] 2' "$scratch/log"
"$b/coilwright" impulse presets/bright-coil.ttl -r 24000 --length 48000 -o "$scratch/di.wav" >/dev/null 2>&1
check 'audition, several at a time' run "$b/coilwright" audition presets/compare-*.ttl --di "$scratch/di.wav" -o "$scratch/out"
counts_done
