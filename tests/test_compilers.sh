#!/bin/bash
# SPDX-License-Identifier: ISC
# The model's tests as each compiler builds them, unoptimised and optimised, without a warning; and as
# another machine runs them: 32 bits, big-endian. `make check-compilers` does it with every test there is,
# `make check-foreign` with the long ones.
. tests/support/counts.sh
unset MAKEFLAGS
build() { make -s -k -j "${JOBS:-2}" B="$CW_BUILD" SETUP=true "$@" >"$CW_BUILD/compilers.log" 2>&1; }
short='circuit material parallel transfer wire'

# count PROGRAM...: the program's tests are this script's.
count() {
    CW_BRIEF=1 timeout 300 "$@" >"$CW_BUILD/compilers.log" 2>&1 || { fail "$*: $(tail -n 20 "$CW_BUILD/compilers.log")"; return; }
    check "$* counted nothing" grep -q '^\[  PASSED  \] [1-9]' "$CW_BUILD/compilers.log"
}

for compiler in gcc clang; do
    need $compiler 'the model is not built by it' || continue
    flags="$compiler-O3"
    [ $compiler = clang ] || flags="$compiler-O0 $flags" # clang's other builds: make check-compilers
    build COMPILERS="$flags" MODEL_TESTS="$short" compiled || fail "$compiler: $(tail -n 5 "$CW_BUILD/compilers.log")"
    for program in "$CW_BUILD"/compilers/$compiler-O[03]/test_*; do
        count "$program"
    done
done

if need mips-linux-gnu-gcc 'nothing is built for another machine' && need qemu-mips-static 'nothing is run on another machine'; then
    build FOREIGN_TESTS="$short" foreign-mips || fail "another machine: $(tail -n 5 "$CW_BUILD/compilers.log")"
    # What makes it another: a number's first byte is its highest, and a pointer has four.
    check 'the other machine is not 32-bit and big-endian' test "$(head -c 6 "$CW_BUILD/mips/foreign/test_wire" | od -An -tx1)" = ' 7f 45 4c 46 01 02'
    for name in $short; do
        count qemu-mips-static "$CW_BUILD/mips/foreign/test_$name"
    done
fi

# The loops for processors without long vectors, which this one may have.
if [ "$(uname -m)" = x86_64 ] && need qemu-x86_64-static 'nothing is run without long vectors'; then
    for name in parallel transfer; do
        count qemu-x86_64-static -cpu qemu64 "$CW_BUILD/compilers/gcc-O3/test_$name"
    done
fi
counts_done
