#!/bin/bash
# SPDX-License-Identifier: ISC
# The window under valgrind, in a host of our own: opened and closed, two at once, the host first,
# worked by a pointer and keys. Opened 100 times, as in the sanitizers' run.
. tests/support/counts.sh
case $CW_BUILD in *sanitize*) skip 'already under a sanitizer'; exit 0 ;; esac
need valgrind 'the window is not run under it' || counts_done
need Xvfb 'no virtual display: the window is not run under valgrind' || counts_done
log=$(mktemp)
trap 'rm -f "$log"' EXIT
# Another locale touches no other memory.
CW_TEST_SKIP=test_decimal_comma CW_UI_ROUNDS=${CW_UI_ROUNDS:-100} valgrind -q --error-exitcode=9 --leak-check=full --errors-for-leak-kinds=definite \
    --keep-debuginfo=yes --suppressions=tests/support/valgrind.supp "$CW_BUILD/tests/test_ui_window" >"$log" 2>&1
status=$?
grep -q '^SKIP: no virtual display' "$log" && { skip 'no virtual display can be started here'; counts_done; }
[ $status = 0 ] || tail -n 40 "$log"
check "the window under valgrind ends with status $status" test $status = 0
check 'the window was not run under valgrind' grep -q 'PASSED.*1[0-9] test' "$log"
counts_done
