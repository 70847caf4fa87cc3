#!/bin/bash
# SPDX-License-Identifier: ISC
# What run() costs and what it could call: the instructions for each sample do not depend on the
# signal, denormal numbers included, but for what is no sound; the binary imports nothing that could wait.
. tests/support/counts.sh

# What the plugin's binary takes from others is mathematics, memory and copying: no lock, no file, no
# clock, no thread. Memory is got and freed in instantiate() and cleanup(), and the lock is for those who save a
# session or name its candidates: test_realtime.c counts what run() takes of them. __assert_fail is where a
# caller's mistake ends.
allowed=' __assert_fail pthread_mutex_init pthread_mutex_destroy pthread_mutex_lock pthread_mutex_unlock snprintf calloc aligned_alloc free memcpy memmove memset memcmp memchr strcmp strncmp strlen strnlen '
for symbol in $(nm -D --undefined-only "$CW_BUNDLE/coilwright.so" | sed 's/.* U //; s/@.*//' | grep -v '^ *w '); do
    case $symbol in __stack_chk_fail | __mem*_chk | __snprintf_chk | __*_finite | __cxa_finalize | __asan* | __ubsan* | __gcov* | __llvm*) continue ;; esac
    if [[ $allowed == *" $symbol "* ]]; then
        pass
    elif grep -qw "$symbol" <<<'acos asin atan atan2 cos sin tan sincos exp exp2 expm1 log log10 log1p log2 pow sqrt cbrt hypot floor ceil fmod fmin fmax fminf fmaxf round nearbyint ldexp frexp scalbn asinh'; then
        pass
    else
        fail "the plugin's binary imports $symbol"
    fi
done
check 'no import was looked at' test "$passed" -ge 5

if need valgrind 'instructions are not counted'; then
    count() {
        valgrind --tool=callgrind --callgrind-out-file=/dev/null --toggle-collect=measured_run "$CW_BUILD/tests/test_realtime" "$@" 2>&1 |
            sed -n 's/.*Collected : *//p'
    }
    base=$(count noise 64 200)
    check 'callgrind counted nothing' test "${base:-0}" -gt 100000
    # $1 takes what noise takes, to 1 % less and to $2 % of it.
    costs() {
        local got
        got=$(count "$1" 64 200)
        check "$1 takes ${got:-no} instructions, noise $base" \
            test $((100 * ${got:-0} >= 99 * base && 100 * ${got:-0} <= $2 * base)) = 1
    }
    costs sine 101
    costs square 101
    # Near silence each call sees to it that denormal numbers are zero.
    costs silence 105
    costs decay 105
    costs denormal 105
    # What no instrument sends is cleaned in a pass of its own, in every block: some third more, and no more than that.
    costs nan 140
    costs loud 140
    echo "instructions for a sample in blocks of 64: $(awk "BEGIN { print $base / 12800 }")"
    # A longer run costs in proportion, so nothing grows. By whole periods of what learns, which begins one late.
    first=$(count noise 64 256) second=$(count noise 64 512) third=$(count noise 64 768)
    check "256, 512 and 768 blocks take $first, $second and $third instructions" \
        test $((100 * (third - second))) -le $((101 * (second - first)))
fi
counts_done
