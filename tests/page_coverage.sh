#!/bin/sh
# SPDX-License-Identifier: ISC
# Which lines of the pages' scripts the tests run: make coverage-pages. Status 1 where it is under 95 %.
seen=$(mktemp -d)
trap 'rm -rf "$seen"' EXIT
CW_COVERAGE=$seen sh tests/run tests/test_page.sh tests/test_blind.sh tests/test_live.sh ||
    echo 'a test fails with its lines counted' >&2
node tests/support/page_coverage.mjs "$seen" 95
