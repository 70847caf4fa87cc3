#!/bin/bash
# SPDX-License-Identifier: ISC
# The order of the rooms: a file includes only what stands in its own room or in one below it.
. tests/support/counts.sh

# Every room and the rooms whose headers it may include, itself among them.
rooms='dsp: dsp
workshop: dsp workshop
workshop/plot: dsp workshop workshop/plot
plugin: dsp plugin
plugin/ui: dsp workshop workshop/plot plugin/ui
cli: dsp workshop workshop/plot workshop/page cli
ttl: dsp'

# Prints FILE: HEADER for each quoted include of room $1 that stands in none of the rooms $2...
out_of_order() {
    local room=$1 file header found
    shift
    for file in "$room"/*.[ch] "$room"/*.inc; do
        [ -e "$file" ] || continue
        sed -n 's/^#include "\([^"]*\)".*/\1/p' "$file" | while read -r header; do
            found=no
            for place in "$@"; do [ -e "$place/$header" ] && found=yes; done
            [ $found = yes ] || echo "$file: $header"
        done
    done
}

# Includes among the headers and sources of one room, as pairs of units (a header with its source);
# tsort names a circle.
circles() {
    local file
    for file in "$1"/*.[ch]; do
        [ -e "$file" ] || continue
        unit=$(basename "${file%.[ch]}")
        sed -n 's/^#include "\([^"]*\)\.h".*/\1/p' "$file" | while read -r other; do
            [ "$other" != "$unit" ] && [ -e "$1/$other.h" ] && echo "$unit $other"
        done
    done | tsort 2>&1 >/dev/null
}

while IFS=: read -r room below; do
    # shellcheck disable=SC2086 # the rooms are words
    found=$(out_of_order "$room" $below)
    check "$room reaches up: $found" test -z "$found"
    found=$(circles "$room")
    check "$room has a circle: $found" test -z "$found"
done <<<"$rooms"

while read -r file; do
    check "$file lacks its licence" grep -q -m 1 'SPDX-License-Identifier: ISC' "$file"
done < <(git ls-files '*.c' '*.h' '*.inc' '*.def' '*.sh' '*.mk' 2>/dev/null | while read -r f; do [ -e "$f" ] && echo "$f"; done)
if need clang-format 'formatting is not looked at'; then
    found=$(find dsp workshop plugin cli ttl tests -name '*.[ch]' -o -name '*.inc' | xargs clang-format --dry-run 2>&1 | sed -n 's/:.*warning.*//p' | sort -u)
    check "not formatted by .clang-format: $found" test -z "$found"
fi
counts_done
