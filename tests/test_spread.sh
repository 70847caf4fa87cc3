#!/bin/bash
# SPDX-License-Identifier: ISC
# coilwright spread at the command line: figures, repeatability, what it refuses.
. tests/support/counts.sh
export LC_ALL=C.UTF-8
coilwright=$(realpath "$CW_PROGRAM")
presets=$(realpath presets)
root=$PWD
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$scratch" || exit 1
pair=$presets/winding-compare-turns.ttl
coil=$presets/winding-order-22.ttl
few='--draws 4000'

# refused TEXT ARGUMENTS...: status 2 and one line that holds TEXT.
refused() {
    text=$1
    shift
    timeout 20 "$coilwright" spread "$@" >out 2>err </dev/null
    got=$?
    if [ $got = 2 ] && [ "$(wc -l <err)" = 1 ] && grep -qF -- "$text" err && [ ! -s out ]; then
        pass
    else
        fail "spread $*: status $got, '$text' is not the one line: $(cat err)"
    fi
}

refused 'expected one candidate or two, found 0'
refused 'expected one candidate or two, found 3' "$pair" "$coil"
refused "did you mean 'turns'?" "$coil" --scatter turn=1
refused 'expected a cause and its half width' "$coil" --scatter turns
refused 'expected a cause and its half width' "$coil" --scatter =5
for bad in -1 51 nan inf much '' 1H; do
    refused 'expected a half width from 0 to 50' "$coil" --scatter "turns=$bad"
done
refused '--draws' "$coil" --draws 10
refused '--draws' "$coil" --draws 3000000
refused '--seed' "$coil" --seed -1
refused 'expected a name that ends in' "$coil" --plot out.doc
refused 'expected the symbol' "$coil" --set nonsense=1

# The same seed gives the same bytes, on one processor and on all; another seed does not.
# shellcheck disable=SC2086
{
    "$coilwright" spread "$pair" $few --csv >one.csv
    taskset -c 0 "$coilwright" spread "$pair" $few --csv >two.csv
    "$coilwright" spread "$pair" $few --seed 2 --csv >three.csv
}
check 'one seed, two answers' cmp -s one.csv two.csv
check 'two seeds, one answer' bash -c '! cmp -s one.csv three.csv'
check 'CSV: not 13 lines' test "$(wc -l <one.csv)" = 13

# With nothing but temperature, 2 degC either way: resistance is even over 1 +- 2 * 0.00393 (IEC 60028), so that its
# standard deviation is 2 * 0.00393 / sqrt 3 of it.
none=$(for cause in wire turns packing core magnet pots capacitors resistors cable input; do echo "--scatter $cause=0"; done)
# shellcheck disable=SC2086
"$coilwright" spread "$coil" --draws 20000 $none --scatter temperature=2°C --csv >warm.csv
check 'temperature alone: resistance is off' awk -F, 'NR == 2 { gsub(/"/, ""); sd = $5 / $4
    exit !(sd > 0.00393 * 2 / sqrt(3) * 0.98 && sd < 0.00393 * 2 / sqrt(3) * 1.02) }' warm.csv
check 'temperature alone: another cause has a share' awk -F, 'NR == 2 { exit !($NF + 0 == 1) }' warm.csv
check 'temperature alone: inductance moves' awk -F, 'NR == 3 { exit !($3 == "H" && $5 + 0 == 0) }' warm.csv

# shellcheck disable=SC2086
"$coilwright" spread "$pair" $few -o table.txt --plot plot.svg
for words in 'Worst case' 'Root sum square' '95 % of draws' 'Most of it: DC resistance by wire' 'Verdict: heard, and it stands out' \
    'NEMA MW 1000' 'seed 1: Philox4x32-10'; do
    check "the table does not say '$words'" grep -qF "$words" table.txt
done
check 'the table is wider than 110 columns' awk 'length($0) > 125 { exit 1 }' table.txt
check 'no plot' grep -q '</svg>' plot.svg
# A candidate against itself is not heard; scatter alone makes the pair.
# shellcheck disable=SC2086
check 'a candidate against itself is heard' bash -c "'$coilwright' spread '$coil' '$coil' $few >same; grep -q 'Verdict: not heard' same"
# shellcheck disable=SC2086
check 'a large scatter does not drown a small difference' \
    bash -c "'$coilwright' spread '$pair' $few --scatter turns=25 --scatter cable=0 >wide; grep -q 'Verdict: heard, but no more' wide"
"$coilwright" spread "$coil" --draws 1000 -o table.txt 2>err
check 'a file is replaced unasked' test $? = 1
check 'no word on it' grep -q 'table.txt' err

# --- the page on handing over: every command in it, as it stands
page=$root/docs/handing-over.md
mkdir -p page/build
cp -r "$presets" page/presets
ln -s "$coilwright" page/build/coilwright
count=0
while read -r command; do
    count=$((count + 1))
    if (cd page && timeout 60 bash -c "$command" >../log 2>&1); then pass; else fail "the page: $command: $(cat log)"; fi
done < <(sed -e ':a' -e '/\\$/N; s/\\\n *//; ta' "$page" | sed -n 's/^    \(build\/coilwright .*\)/\1/p')
check 'the page has commands' test $count -ge 3
counts_done
