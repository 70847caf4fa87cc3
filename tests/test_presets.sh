#!/bin/bash
# SPDX-License-Identifier: ISC
# The presets are what their recipes make, no more and no fewer; and what the maker refuses.
. tests/support/counts.sh
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
maker=$CW_BUILD/presets

mkdir "$scratch/made"
check 'the recipes are read' "$maker" presets/recipes.txt "$scratch/made"
check 'presets and recipes are of one number' test "$(ls presets/*.ttl | wc -l)" = "$(ls "$scratch"/made/*.ttl | wc -l)"
for preset in presets/*.ttl; do
    check "$preset is stale: make presets" diff "$preset" "$scratch/made/$(basename "$preset")"
done

# The program says the same of a preset by its recipe's words: the maker and its reader of words are two.
check 'new writes the same values' bash -c "
    '$CW_PROGRAM' new -o '$scratch/new.ttl' -l 'Winding order 21: dual coil' --coils 'two in series' --coil-from winding --turns 5000 --gauge 42 \
        --core 'steel slugs' --magnet 'alnico 5' --potting paraffin --input-capacitance 0 >/dev/null &&
    diff <('$CW_PROGRAM' response --leads --csv '$scratch/new.ttl') \
         <('$CW_PROGRAM' response --leads --csv presets/winding-order-21.ttl)"

# Lists of hosts without banks: labels of one bank begin with one of its own words.
while IFS=$'\t' read -r bank label; do
    case $bank:$label in
    recorded:Recorded\ through:* | coils:Coil:* | coils:Job* | orders:Winding\ order* | compare:Compare:* | windings:Winding:* | sessions:Session:*) good=true ;;
    *) good=false ;;
    esac
    check "$bank: '$label' sorts elsewhere" $good
done < <(awk '/^label /{ sub(/^label /, ""); label = $0 } /^bank / && !/ = / { print $2 "\t" label }' presets/recipes.txt)

refuses() {
    printf 'bank one = 1 One\npreset first\nlabel First\nbank one\ncomment Test\n%b\n' "$1" >"$scratch/recipes"
    "$maker" "$scratch/recipes" "$scratch" >/dev/null 2>"$scratch/errors"
    check "refused: $1" test $? = 1
    check "with its line: $1: $(cat "$scratch/errors")" grep -q "recipes:[0-9]*: $2" "$scratch/errors"
}
refuses 'a colour = red' "expected 'like NAME'"
refuses 'a inductance = 400' 'inductance: expected a value from 0.2 to 20'
refuses 'a inductance = 4.6 H' 'inductance: expected a value'
refuses 'a inductance = nan' 'inductance: expected a value'
refuses 'a coils = 1' 'coils: expected a word of its list'
refuses 'a like other' 'expected a preset above'
refuses 'a like first' 'expected a preset above'
refuses 'preset first' 'expected at most [0-9]* presets, each once'
refuses 'preset ../first' 'expected a name'
refuses 'preset second\nlabel Second' 'second: expected a label, a bank and a comment'
refuses 'bank two' 'expected one of the banks'
refuses 'all a_tone = 5' "expected 'SYMBOL = VALUE' of a global"
refuses 'r coils = one' 'expected bank, preset'
refuses 'label A "quoted" one' 'expected text without'
refuses 'label '"$(printf '%0200d' 0)" 'expected at most'
counts_done
