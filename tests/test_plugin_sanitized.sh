#!/bin/bash
# SPDX-License-Identifier: ISC
# The compiled tests again, built with the address and undefined-behaviour sanitizers of gcc: each
# program that passes counts one. `make sanitize` does it for both compilers.
. tests/support/counts.sh
case $CW_BUILD in *sanitize*) skip 'already under a sanitizer'; exit 0 ;; esac
if ! echo 'int main(void){return 0;}' | gcc -fsanitize=address,undefined -x c - -o /dev/null 2>/dev/null; then
    skip 'gcc has no sanitizers here'
    echo '0 passed, 0 failed'
    exit 0
fi
b=$CW_BUILD/sanitize-gcc
unset CW_BUNDLE CW_PROGRAM LV2_PATH MAKEFLAGS
TEST_SECONDS=240 make --no-print-directory JOBS=1 B="$CW_BUILD" SETUP=true sanitize-gcc >"$CW_BUILD/sanitize.log" 2>&1
grep -q -e '^ok ' -e '^FAILED ' "$CW_BUILD/sanitize.log" || { tail -n 20 "$CW_BUILD/sanitize.log"; fail 'it does not build'; }
while read -r word name rest; do
    case $word in
    ok) pass ;;
    FAILED) fail "$name under the sanitizers: $rest"; tail -n 30 "$b/tests/log/$name.log" ;;
    esac
done <"$CW_BUILD/sanitize.log"
counts_done
