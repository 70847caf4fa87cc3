#!/bin/bash
# SPDX-License-Identifier: ISC
# coilwright match at the command line: what it finds, what it writes, what it refuses.
. tests/support/counts.sh
export LC_ALL=C.UTF-8
coilwright=$(realpath "$CW_PROGRAM")
presets=$(realpath presets)
root=$PWD
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$scratch" || exit 1
coil=$presets/winding-order-21.ttl
few='--former dual-coil --core steel-slugs --cover none --gauge 42,43'

# refused STATUS TEXT ARGUMENTS...: that status and one line that holds TEXT.
refused() {
    status=$1 text=$2
    shift 2
    timeout 60 "$coilwright" match "$@" >out 2>err </dev/null
    got=$?
    if [ $got = "$status" ] && [ "$(wc -l <err)" = 1 ] && grep -qF -- "$text" err && [ ! -s out ]; then
        pass
    else
        fail "match $*: status $got, '$text' is not the one line: $(cat err)"
    fi
}

refused 2 'expected a TARGET or a wish'
refused 2 'expected one TARGET, found 2' "$coil" "$coil"
refused 2 'expected the lower limit first' "$coil" --turns 6000..5000
for bad in many 5..6 0..100000 .. 4000.. '' -3; do
    refused 2 '--turns' "$coil" --turns "$bad"
done
refused 2 '--gauge' "$coil" --gauge 42,
refused 2 '--gauge' "$coil" --gauge 60
refused 2 '--core' "$coil" --core gold
refused 2 '--second-turns' "$coil" --second-turns 10
for bad in 0 -1 nan inf '' loud 1H; do
    refused 2 '--resonance' --resonance "$bad"
done
refused 2 '--peak' --peak 99
refused 2 '--level' --level 41
refused 2 '--dc-resistance' --dc-resistance 1M
refused 2 '--list' "$coil" --list 0
refused 2 '--target-error' "$coil" --target-error -1
refused 2 'expected -o DIR' "$coil" --di x.wav
refused 2 'expected --di' "$coil" -o out.d --recorded x.ttl
refused 1 'has the most room' "$coil" --gauge 38 --former dual-coil --turns 9000
refused 1 'expected a winding to vary' "$coil" --base "$presets/job-12-full.ttl"
refused 1 'expected one candidate, found 2' "$presets/winding-compare-turns.ttl"
refused 1 'nowhere.ttl' nowhere.ttl

# The spec itself is found, and is first; limits hold for every row.
# shellcheck disable=SC2086
"$coilwright" match "$coil" $few --turns 4000..6000 --csv >list.csv
check 'the planted spec is not first' awk -F, 'NR == 2 { exit !($3 + 0 < 0.01 && $11 == 5000) }' list.csv
check 'a row is out of its limits' awk -F, 'NR > 1 && ($11 < 4000 || $11 > 6000) { exit 1 }' list.csv
check 'a gauge that was not asked for' bash -c '! grep -q "AWG 4[45]" list.csv'
check 'not two rows' test "$(wc -l <list.csv)" = 3
# shellcheck disable=SC2086
taskset -c 0 "$coilwright" match "$coil" $few --turns 4000..6000 --csv >again.csv
check 'on one processor another answer' cmp -s list.csv again.csv
# shellcheck disable=SC2086
check '--each has no more rows' \
    bash -c "test \$('$coilwright' match '$coil' $few --each --csv --list 100 | wc -l) -gt 3"

# As compare says it: the second row's spec, written by new, is as far from the target.
# shellcheck disable=SC2086
"$coilwright" match "$coil" $few -o heard >table.txt
check 'no page' test -s heard/index.html
check 'no presets' test "$(ls heard/settings/*.ttl | wc -l)" = 4
check 'the target is not first' bash -c 'ls heard/settings | sed -n 2p | grep -q winding-order-21'
check 'the table is wider than 100 columns' awk 'length($0) > 110 { exit 1 }' table.txt
apart=$(awk -F, 'NR == 3 { printf "%.1f", $4 < 0 ? -$4 : $4 }' list.csv)
"$coilwright" compare "$coil" heard/settings/03-*.ttl --csv >compared.csv
check "compare does not say $apart dB" grep -qE "no|[-+]$apart dB" compared.csv
# shellcheck disable=SC2086
"$coilwright" match "$coil" $few -o heard >/dev/null 2>err
check 'a directory is replaced unasked' test $? = 1

# Wishes that contradict one another are said to.
"$coilwright" match --resonance 8k --dc-resistance 14k --gauge 42 >wish.txt
check 'a contradiction is not said' grep -q 'Not reached' wish.txt
"$coilwright" match --resonance 3.2k --peak 4dB --list 3 --core steel-slugs >wish.txt
check 'wishes within reach are not met' bash -c '! grep -q "Not reached" wish.txt && grep -q "Misses" wish.txt'
check 'the resonance is not the one wished for' grep -qE '3\.[12][0-9] kHz' wish.txt

# Of a calibrated coil only wire and turns vary, and its factors are kept.
"$coilwright" new --base "$coil" --from-measured resistance=7.9k,inductance=4.2 -o own.ttl >/dev/null 2>err ||
    "$coilwright" new --base "$coil" --from-measured resistance=7.9k --from-measured inductance=4.2 -o own.ttl >/dev/null
"$coilwright" match "$presets/job-12-full.ttl" --base own.ttl -o own --list 2 >own.txt
check 'a calibrated base is not named' grep -q 'calibrated on a measured coil' own.txt
check 'its factors are lost' \
    bash -c 'test "$(grep -A1 a_inductance_cal own.ttl | tr -d "\n")" = "$(grep -A1 a_inductance_cal own/settings/02-*.ttl | tr -d "\n")"'

# ---- the page: every command in it, as it stands
mkdir -p page/build
cp -r "$presets" page/presets
ln -s "$coilwright" page/build/coilwright
count=0
while read -r command; do
    count=$((count + 1))
    if (cd page && timeout 100 bash -c "$command" >../log 2>&1); then pass; else fail "the page: $command: $(cat log)"; fi
done < <(sed -n 's/^    \(build\/coilwright .*\)/\1/p' "$root/docs/match.md")
check 'the page has commands' test $count -ge 5
counts_done
