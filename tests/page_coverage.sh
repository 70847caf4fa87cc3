#!/bin/sh
# SPDX-License-Identifier: ISC
# Which lines of the pages' scripts the tests run: make coverage-pages. Status 1 where it is under 95 %.
seen=$(mktemp -d)
trap 'rm -rf "$seen"' EXIT
CW_COVERAGE=$seen
export CW_COVERAGE
for script in page blind live; do
    bash "tests/test_$script.sh" >"$seen.log" 2>&1 || { cat "$seen.log"; echo "test_$script.sh fails with its lines counted" >&2; }
    rm -f "$seen.log"
done
node tests/support/page_coverage.mjs "$seen" 95
