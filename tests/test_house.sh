#!/bin/bash
# SPDX-License-Identifier: ISC
# The order of the rooms: a file includes only what stands in its own room or in one below it.
. tests/support/counts.sh

# Every room and the rooms whose headers it may include, itself among them.
rooms='dsp: dsp
workshop: dsp workshop
workshop/plot: dsp workshop workshop/plot
workshop/page: dsp workshop workshop/page
plugin: dsp workshop plugin
plugin/ui: dsp workshop workshop/plot plugin plugin/ui
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

# The project's own files whose names end in one of the words; an unpacked archive has no list of them.
ours() {
    local ending
    for ending; do
        git ls-files "*$ending" 2>/dev/null || find . -name "build*" -prune -o -type f -name "*$ending" -print | sed 's|^\./||'
    done | while read -r f; do [ ! -e "$f" ] || echo "$f"; done
}
while read -r file; do
    check "$file lacks its licence" grep -q -m 1 'SPDX-License-Identifier: ISC' "$file"
done < <(ours .c .h .inc .def .sh .mk)
if need clang-format 'formatting is not looked at'; then
    found=$(find dsp workshop plugin cli ttl tests -name '*.[ch]' -o -name '*.inc' | xargs clang-format --dry-run 2>&1 | sed -n 's/:.*warning.*//p' | sort -u)
    check "not formatted by .clang-format: $found" test -z "$found"
fi

# A file includes what it uses itself, and a header's functions stand in the source of its name.
sources() { ours "$@" | grep -v '^tests/foreign/'; }
# shellcheck disable=SC2046 # names without spaces
found=$(awk -f tests/support/headers.awk $(sources .h | grep -v ^tests/) second=1 $(sources .c .h) | sort)
check "includes that are missing, functions that are elsewhere: $found" test -z "$found"
# It sees both where they are.
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
printf '#ifndef X_H\n#define X_H\nint cw_x(void);\nenum { CW_X = 1 };\n#endif\n' >"$scratch/x.h"
printf '#include "z.h"\nint y(void) { return cw_x() + CW_X; }\n' >"$scratch/y.c"
found=$(awk -f tests/support/headers.awk "$scratch/x.h" second=1 "$scratch/x.h" "$scratch/y.c" | sed "s|$scratch/||g" | sort | tr '\n' ';')
check "what is missing is not seen: $found" \
    test "$found" = 'x.h declares cw_x, which x.c lacks;y.c uses CW_X without x.h;y.c uses cw_x without x.h;'
# A status that the message of a check loses: it can only be that of the message.
lost() { grep -nE '^ *check "[^"]*\$\([^|]*" (\\$|test \$\?)' "$@" | grep -F '$?' || true; }
check "a status is lost in the message of its check: $(lost tests/*.sh)" test -z "$(lost tests/*.sh)"
# shellcheck disable=SC2016 # as it would stand in a test
echo 'check "it failed: $(cat err)" test $? = 0' >"$scratch/lost.sh"
check 'a lost status is not seen' test -n "$(lost "$scratch/lost.sh")"
# Numbers that stand once.
found=$(grep -nE '3\.14159|6\.28318' $(sources 'dsp/*.[ch]' 'workshop/*.[ch]' 'plugin/*.[ch]' 'cli/*.[ch]' 'ttl/*.c') | grep -v '^dsp/constants.h' || true)
check "pi stands in dsp/constants.h: $found" test -z "$found"
counts_done
