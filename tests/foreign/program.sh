#!/bin/bash
# SPDX-License-Identifier: ISC
# The whole program on another machine: the same commands by it and by this machine's program give the same texts, tables
# and digests, and what one wrote the other reads.
#
#   tests/foreign/program.sh PROGRAM RUNNER... -- FOREIGN-PROGRAM
set -u
. tests/foreign/beside.sh
programs "$@"
presets=$PWD/presets
root=$(mktemp -d) || exit 2
trap 'rm -rf "$root"' EXIT
export SOURCE_DATE_EPOCH=1795651200 HOME=$root XDG_DATA_HOME=$root XDG_CONFIG_HOME=$root LC_ALL=C LANGUAGE=C
passed=0 failed=0

# said NAME COMMAND...: what is printed, and how it ends
said() {
    name=$1
    shift
    "${by[@]}" "$@" >"$name.txt" 2>"$name.err" </dev/null
    echo "exit status $?" >>"$name.txt"
}

# Takes of an instrument and their curves, made by this machine, for both.
takes=$root/takes
jig=(--open "$takes/open.wav" --known "$takes/known.wav" --known-value 99.8k --check "$takes/check.wav" --check-value 22.1k
    --silent "$takes/silent.wav" --seconds 2)
"$here" sweep --rehearse "$takes" --seconds 2 >/dev/null || exit 2
for take in full dark half; do
    "$here" measure "${jig[@]}" -o "$takes/$take.s1p" "$takes/$take.wav" >/dev/null 2>&1 || exit 2
done

# Everything below in the current directory, by one program.
session() {
    said version --version
    said help help
    said new new -o new.ttl --turns 5000
    said closed new -o closed.ttl -m resistance=8.2k -m inductance=4.4H@1kHz -m resonance=3.1k@500pF,1M
    said match match "$presets/job-12-full.ttl" --gauge 42,43
    said measure measure "${jig[@]}" -o measured.s1p "$takes/full.wav"
    said fit fit -o fitted.ttl "$takes/full.s1p" "$takes/dark.s1p@tone=0" "$takes/half.s1p@volume=half"
    said response response "$presets/job-12-full.ttl"
    said leads response --leads "$presets/job-12-full.ttl"
    said split split --level 75% "$presets/job-12-full.ttl"
    said compare compare "$presets/job-12-full.ttl" --csv -v cable_length=0 -v coils=series
    said spread spread "$presets/job-12-full.ttl"
    said impulse impulse "$presets/job-12-full.ttl" -o impulse.wav
    said seal seal "$presets/winding-order-22.ttl" -o x.seal --because 'on "another" machine' --journal decisions
    said verify verify x.seal "$presets/winding-order-22.ttl"
    said sheet sheet x.seal -o -
    printf 'serial,resistance,inductance,resonance\nS1,7.9k,4.1,4.0k\nS2,8.0k,4.2,3.9k\n' >readings.csv
    said inspect inspect x.seal readings.csv --database readings.db
    said history history readings.db
    said journal journal --verify --journal decisions
    said broken compare "$presets/nothing.ttl"
}

for machine in here there; do
    by=("$here")
    [ $machine = there ] && by=("${runner[@]}" "$there")
    mkdir "$root/$machine"
    cd "$root/$machine" || exit 2
    session
done
cd "$root" || exit 2

# The same to a millionth of the largest: the audio loop's sums are fused where the processor has an instruction for it.
same_samples() {
    local near
    near=$(how_near "$1" "$2") && awk -v worst="${near#* }" 'BEGIN { exit worst > 1e-6 }'
}

# The same words, and numbers that are the same to a hundred-thousandth of the largest in their line: the last digits of what a
# search or a sum over many samples comes to hang on the last bits of the C library's functions.
same_numbers() {
    awk 'function size(x) { return x < 0 ? -x : x }
        NR == FNR { line[lines = FNR] = $0; next }
        {
            if (split(line[FNR], word) != NF) { exit bad = 1 }
            most = 0
            for (i = 1; i <= NF; i++) if ($i ~ number && size($i) > most) most = size($i)
            for (i = 1; i <= NF; i++) if ($i "" != word[i] "" &&
                !($i ~ number && word[i] ~ number && size($i - word[i]) <= 1e-5 * most)) { exit bad = 1 }
        }
        END { exit bad || FNR != lines }' number='^-?[0-9.]+(e[-+]?[0-9]+)?$' "$1" "$2"
}

# What is the same because it works on neither proves nothing.
for errors in here/*.err; do
    [ "$errors" = here/broken.err ] || ! grep '^coilwright: ' "$errors" || failed=$((failed + 1))
done

same() { case $1 in *.wav) same_samples "$1" "$2" ;; */measured.s1p | */fitted.ttl) same_numbers "$1" "$2" ;; *) cmp -s "$1" "$2" ;; esac; }

if ! diff <(ls here) <(ls there); then
    echo 'one machine wrote other files than the other'
    failed=$((failed + 1))
fi
for file in here/*; do
    if same "$file" "there/${file#*/}"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "differs: ${file#*/}"
        diff -a "$file" "there/${file#*/}" | head -n 6
    fi
done
echo "$passed passed, $failed failed"
[ $failed = 0 ]
