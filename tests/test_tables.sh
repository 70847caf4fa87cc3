#!/bin/bash
# SPDX-License-Identifier: ISC
# The tables of the coil's model are what their programs make now: number by number, as compilers round in
# their own ways.
. tests/support/counts.sh
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

# Numbers of a table, one a line, without its comments.
numbers() { sed 's|/\*.*\*/||' "$1" | grep -oE -- '-?[0-9]+\.[0-9]+(e[-+]?[0-9]+)?' ; }

# Whether two tables agree within 1e-4 of the larger number, or 2e-6.
same() {
    paste -d ' ' <(numbers "$1") <(numbers "$2") | awk '
        function size(x) { return x < 0 ? -x : x }
        NF != 2 || size($1 - $2) > 2e-6 + 1e-4 * size($1) { bad = 1 }
        END { exit bad || NR < 2 }'
}

for table in circle rods skin reference; do
    "$CW_BUILD/tables/$table" >"$scratch/$table"
    check "dsp/${table}_table.inc is stale: make tables" same "dsp/${table}_table.inc" "$scratch/$table"
done
sed 's/0\.17/0.18/' "$scratch/rods" >"$scratch/changed"
same "$scratch/rods" "$scratch/changed" && fail 'a changed number passes' || pass
counts_done
