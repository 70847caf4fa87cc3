#!/bin/bash
# SPDX-License-Identifier: ISC
# A short run of each fuzz target, after its seeds and every input that ever found a fault. `make fuzz`
# is the long one.
. tests/support/counts.sh
if ! echo 'int LLVMFuzzerTestOneInput(const unsigned char *d, unsigned long n){return (int)n && !d;}' |
    clang -fsanitize=fuzzer,address -x c - -o /dev/null 2>/dev/null; then
    skip 'clang with libFuzzer is not here: nothing is fuzzed'
    echo '0 passed, 0 failed'
    exit 0
fi
unset MAKEFLAGS CW_BUNDLE CW_PROGRAM
if ! make --no-print-directory B="$CW_BUILD" SETUP=true JOBS="${JOBS:-2}" fuzz-build >"$CW_BUILD/fuzz.log" 2>&1; then
    tail -n 20 "$CW_BUILD/fuzz.log"
    fail 'the fuzz targets do not build'
fi
for source in tests/fuzz/fuzz_*.c; do
    target=$(basename "$source" .c)
    if CW_BUILD=$CW_BUILD FUZZ_RUNS=600 FUZZ_SECONDS=60 sh tests/fuzz/run "$target" >"$CW_BUILD/fuzz.log" 2>&1; then
        cat "$CW_BUILD/fuzz.log"
        # A target that does nothing finds nothing.
        check "$target ran too few inputs" test "$(sed -n 's/.*: \([0-9]*\) executions.*/\1/p' "$CW_BUILD/fuzz.log")" -gt 500
    else
        fail "$(cat "$CW_BUILD/fuzz.log")"
    fi
done
counts_done
