#!/bin/bash
# SPDX-License-Identifier: ISC
# Sweep and measure against takes that an outside program makes (NumPy and SciPy: tests/simulate_takes.py;
# the instrument by the exact function of a conducting rod). Bounds: what the method reached when it was
# tried out independently of this program.
. tests/support/counts.sh
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
program=$(realpath "$CW_PROGRAM")
says() { "$program" "$@" 2>&1 >/dev/null; }

check 'sweep fails' "$program" sweep -o "$scratch/sweep.wav" >"$scratch/words"
check 'sweep does not say how to connect' grep -q 'series\|resistor of' "$scratch/words"
check 'sweep has no caution' grep -q 'Cautions' "$scratch/words"
"$program" sweep -o "$scratch/again.wav" >/dev/null
check 'two sweeps differ' cmp -s "$scratch/sweep.wav" "$scratch/again.wav"
check "sweep replaces a file unasked" test "$("$program" sweep -o "$scratch/sweep.wav" >/dev/null 2>&1; echo $?)" = 1
# The instruction, on paper (poppler reads it) and as text: one page with all of it, the same bytes again.
check 'the instruction fails' "$program" sweep -o "$scratch/other.wav" --instruction "$scratch/jig.pdf"
"$program" sweep -o "$scratch/other.wav" -f --instruction "$scratch/jig-again.pdf"
check 'two instructions differ' cmp -s "$scratch/jig.pdf" "$scratch/jig-again.pdf"
check 'the instruction replaces a file unasked' \
    test "$("$program" sweep --instruction "$scratch/jig.pdf" 2>/dev/null; echo $?)" = 1
check 'an instruction in .doc is taken' test "$("$program" sweep --instruction "$scratch/j.doc" 2>/dev/null; echo $?)" = 2
check 'an instruction alone fails' "$program" sweep --instruction "$scratch/jig.txt"
if need pdftotext 'the instruction is not read'; then
    check 'the instruction is not one page' test "$(pdfinfo "$scratch/jig.pdf" | sed -n 's/^Pages: *//p')" = 1
    pdftotext -layout "$scratch/jig.pdf" "$scratch/page.txt"
    for words in 'Channel 1' 'Channel 2' '47 k to 100 k' '470 pF' node sleeve open.wav known.wav check.wav silent.wav \
        take.wav exciter.wav loaded.wav 'full scale' Hum Cautions 'Passive instruments only' amplifier Phantom --known-value; do
        check "the page lacks '$words'" grep -qF -- "$words" "$scratch/page.txt"
    done
    # every word of the text stands on the page, in its order
    words_of() { sed -n '/^ *The jig/,$p' "$1" | tr -s ' :\n\f' '[\n*]' | grep -v -e '^$' -e '•'; }
    check 'the text is short' test "$(words_of "$scratch/jig.txt" | wc -l)" -gt 300
    words_of "$scratch/jig.txt" >"$scratch/a"
    words_of "$scratch/page.txt" >"$scratch/b"
    check 'page and text have other words' diff "$scratch/a" "$scratch/b"
fi
check 'help speaks of what stands in the sources' bash -c '! "$1" measure --help | grep -q CW_' x "$program"
check 'takes are put into a file' grep -q "$scratch/jig.txt: cannot be made a directory" <<<"$(says sweep --rehearse "$scratch/jig.txt")"
"$program" sweep --rehearse "$scratch/rehearsed" --seconds 2 >"$scratch/told"
check 'what is told of the rehearsal does not work' bash -c 'cd "$2" && eval "$(sed -n "/^  coilwright measure/,/wav\$/p" ../told | sed "s|^  coilwright|$1|")"' \
    x "$program" "$scratch/rehearsed" 2>/dev/null
check 'the rehearsed impedance is not written' grep -q '^# Hz Z RI R 1' "$scratch/rehearsed/full.s1p"
mkdir "$scratch/sent"
ln -s ../jig.txt "$scratch/sent/full.wav"
cp "$scratch/jig.txt" "$scratch/jig.before"
check 'a link among takes' grep -q 'sent/full.wav: expected a take to replace, found a link' \
    <<<"$(says sweep --rehearse "$scratch/sent" --seconds 2 --force)"
# What stands in the way of a take is found before the sweep is written.
check 'takes are replaced' grep -q 'rehearsed/open.wav: is there already' <<<"$(says sweep -o "$scratch/first.wav" --rehearse "$scratch/rehearsed" --seconds 2)"
check 'the sweep was written without its takes' test ! -e "$scratch/first.wav"
check 'a link among takes is followed' cmp "$scratch/jig.txt" "$scratch/jig.before"
check 'a bad rate is taken' test "$("$program" sweep -o "$scratch/x.wav" -r 8000 2>/dev/null; echo $?)" = 2
# What does not belong together, or is no value, is refused with status 2 and says why.
refuses() { # refuses TEXT ARGUMENTS...
    local text=$1 got
    shift
    got=$("$program" "$@" 2>&1 >/dev/null; echo $?)
    check "$*: no '$text': $got" test "${got##*$'\n'}" = 2 -a -z "${got##*"$text"*}"
}
refuses 'belong to --exciter' measure --open a --known b --known-value 10k --loaded c d.wav
refuses '--check and --check-value together' measure --open a --known b --known-value 10k --check c d.wav
refuses 'has no part in --exciter' measure --exciter --open a --loaded b --loaded-value 470 --cable 100 d.wav
refuses 'belong to --live' measure --open a --known b --known-value 10k --level -12 d.wav
refuses 'expected one TAKE.wav, found 2' measure --open a --known b --known-value 10k c d
refuses "--plot: expected a name in .svg, .png or .pdf, found 'x.doc'" measure --open a --known b --known-value 10k --plot x.doc d.wav
refuses "--known-value: expected 100 ohm to 10 Mohm, found '5'" measure --known-value 5 d.wav
refuses "--series: expected 1000 ohm to 10 Mohm, found 'x'" measure --series x d.wav
refuses "--input: expected 10 to 100000 k" measure --input 1 d.wav
refuses 'expected no operand' sweep x.wav
refuses '--level: expected -40 to 0' sweep -o "$scratch/x.wav" --level 3
refuses '--rate: expected a whole number of Hz' sweep -o "$scratch/x.wav" -r 44100.5
refuses 'expected a file or a directory to write' sweep
"$program" sweep --rehearse "$scratch/slower" --seconds 2 -r 44100 >/dev/null
mixed() { says measure --seconds 2 --open "$scratch/rehearsed/open.wav" --known "$scratch/$1/known.wav" --known-value 10k \
    --silent "$scratch/$2/silent.wav" "$scratch/rehearsed/full.wav"; }
check 'a take of another rate is taken' grep -q 'known.wav: expected the .*rate of the .*take' <<<"$(mixed slower rehearsed)"
check 'a silent take of another rate is taken' grep -q 'expected the rate of the silent take, 44100 Hz, found 48000' <<<"$(mixed rehearsed slower)"
check 'a missing resistor is taken' test "$("$program" measure --open a --known b c 2>/dev/null; echo $?)" = 2

if ! need /usr/bin/python3 'takes are not simulated' || ! /usr/bin/python3 -c 'import scipy' 2>/dev/null; then
    skip 'SciPy is not here: nothing is measured'
    counts_done
    exit
fi
simulate() { /usr/bin/python3 tests/simulate_takes.py "$@"; }
measure() { # measure FOLDER: writes FOLDER/z.s1p
    "$program" measure --open "$1/open.wav" --known "$1/known.wav" --known-value 99.8k --check "$1/check.wav" \
        --check-value "${2:-22.1k}" --silent "$1/silent.wav" -o "$1/z.s1p" -p "$1/z.svg" --force "$1/take.wav" 2>"$1/said"
}
# within NAME SWEEP DB DEGREES JUDGE... -- KEYS...: worst error of the impedance, 60 Hz to 15 kHz
within() {
    local name=$1 sweep=$2 db=$3 degrees=$4 range=() found
    shift 4
    while [ "$1" != -- ]; do range+=("$1"); shift; done
    shift
    mkdir -p "$scratch/$name"
    simulate make "$sweep" "$scratch/$name" "$@"
    check "$name: measure fails: $(cat "$scratch/$name/said" 2>/dev/null)" measure "$scratch/$name"
    found=$(simulate judge "$scratch/$name/z.s1p" "${range[@]}")
    echo "$name: $found (dB, degrees)"
    check "$name: $found, allowed $db dB and $degrees degrees" awk -v f="$found" -v a="$db" -v b="$degrees" \
        'BEGIN { split(f, v, " "); exit !(v[1] != "" && v[1] + 0 <= a && v[2] + 0 <= b) }'
}
within plain "$scratch/sweep.wav" 0.03 0.3 -- noise=-100
check 'the check resistor is not told' grep -q 'Check: 22.1' "$scratch/plain/said"
check 'the cable is not told as 350 pF' grep -q '350 pF' "$scratch/plain/said"
check 'the picture is missing' grep -q '<svg' "$scratch/plain/z.svg"
check 'the curve is not a Touchstone file of ohms' grep -q '^# Hz Z RI R 1$' "$scratch/plain/z.s1p"
# The same files worked out by NumPy.
found=$(/usr/bin/python3 tests/deconvolve_takes.py "$scratch/plain" "$scratch/plain/z.s1p")
echo "against NumPy: $found (shares, of the ratio and of the impedance)"
check "against NumPy: $found, allowed 1e-9" awk -v f="$found" \
    'BEGIN { split(f, v, " "); exit !(v[1] != "" && v[1] + 0 <= 1e-9 && v[2] + 0 <= 1e-9) }'
within hum "$scratch/sweep.wav" 0.1 1.0 60 15000 8 -- hum=10
within drift "$scratch/sweep.wav" 0.03 0.3 -- ppm=50
within reversed "$scratch/sweep.wav" 0.03 0.3 -- invert latency=2 gain=0.7
within noisy "$scratch/sweep.wav" 0.1 0.6 -- noise=-80
for rate in 44100 88200 96000; do
    "$program" sweep -o "$scratch/$rate.wav" -r $rate >/dev/null
    within "rate-$rate" "$scratch/$rate.wav" 0.03 0.3 -- latency=0 lead=0
done

# A choke and a resistor that anyone can buy, as a self-test of the bench: 100 mH, 60 ohm, 80 pF, and 100 kohm.
mkdir "$scratch/choke"
simulate make "$scratch/sweep.wav" "$scratch/choke" choke hum=2
check 'the choke is not measured' measure "$scratch/choke"
found=$(awk '!/^[!#]/ && $1 > 990 && !n++ { printf "%.1f", 1000 * $3 / (6.283185307 * $1) }' "$scratch/choke/z.s1p")
check "the choke has $found mH at 1 kHz" awk -v l="$found" 'BEGIN { exit !(l > 99.0 && l < 101.0) }'

# By an exciter coil: the response at both loads.
mkdir "$scratch/exciter"
simulate exciter "$scratch/sweep.wav" "$scratch/exciter" noise=-100 latency=0.3 invert
by_exciter() { # by_exciter LOADED TAKE
    says measure --exciter --silent "$scratch/exciter/silent.wav" --loaded "$scratch/exciter/$1.wav" --loaded-value 470p \
        --cable 350p -o "$scratch/exciter/t.csv" -p "$scratch/exciter/t.svg" --force "$scratch/exciter/$2.wav"
}
check 'by an exciter nothing is measured' by_exciter loaded exciter
found=$(simulate transfer "$scratch/exciter/t.csv")
echo "exciter: $found (dB, degrees, frequencies)"
check "exciter: $found, allowed 0.03 dB and 0.3 degrees" awk -v f="$found" \
    'BEGIN { split(f, v, " "); exit !(v[1] != "" && v[1] <= 0.03 && v[2] <= 0.3 && v[3] > 150) }'
# Its circuit: 4.482 H and 4.086 H at 120 Hz and 3 kHz (Bessel functions), 120 pF; the EMF falls as that inductance.
"$program" fit --exciter "$scratch/exciter/t.csv" --csv "$scratch/exciter/fit.csv" >"$scratch/said" 2>&1
for row in l_120=4.481 l_3k=4.0854 capacitance=120e-12; do
    check "the exciter's fit: $row: $(grep "^${row%=*}," "$scratch/exciter/fit.csv")" awk -F, -v row="${row%=*}" -v is="${row#*=}" \
        '$1 == row { exit !(is >= $3 && is <= $4 && $4 / $3 < 1.03) }' "$scratch/exciter/fit.csv"
done
found=$(/usr/bin/python3 - "$scratch/said" <<'PY'
import re, sys
import numpy as np
exec(open("tests/simulate_takes.py").read().split("\nif sys.argv[1]")[0])
low = np.abs(inductance(np.array([200.0]))[0])
worst = seen = 0
for value, unit, fall in re.findall(r"^  ([0-9.]+) (k?Hz) +(-?[0-9.]+) ±", open(sys.argv[1]).read(), re.M):
    hz = float(value) * (1000 if unit == "kHz" else 1)
    worst = max(worst, abs(float(fall) - 20 * np.log10(np.abs(inductance(np.array([hz]))[0]) / low)))
    seen += 1
print(f"{worst:.3f} {seen}")
PY
)
echo "EMF by the exciter: $found (dB, frequencies)"
check "EMF by the exciter: $found, allowed 0.1 dB at 6 frequencies" awk -v f="$found" \
    'BEGIN { split(f, v, " "); exit !(v[1] <= 0.1 && v[2] == 6) }'
check 'its picture is missing' grep -q '<svg' "$scratch/exciter/t.svg"
check 'one take twice is taken' grep -q 'expected a recording of its own for each take' <<<"$(by_exciter exciter exciter)"
/usr/bin/python3 - "$scratch/exciter" <<'PY'
import sys
from scipy.io import wavfile
rate, x = wavfile.read(f"{sys.argv[1]}/exciter.wav")
x[0] += 1e-6
wavfile.write(f"{sys.argv[1]}/same.wav", rate, x)
wavfile.write(f"{sys.argv[1]}/three.wav", rate, x[:, [0, 1, 1]])
PY
check 'a capacitor that is not there is taken' grep -q 'expected the capacitor to make a difference' <<<"$(by_exciter same exciter)"
check 'three channels are taken' grep -q 'expected two channels (1 the output, 2 the node), found 3' <<<"$(by_exciter three exciter)"
check 'exchanged takes are taken' grep -q 'exchanged' <<<"$(by_exciter exciter loaded)"
check 'one load is taken' test "$("$program" measure --exciter --cable 350p x.wav 2>/dev/null; echo $?)" = 2

# The stated errors against the true ones: 10 mV of hum, every point.
covered=$(/usr/bin/python3 - "$scratch/hum/z.s1p" <<'PY'
import sys
import numpy as np
sys.argv = ["x", "none", sys.argv[1]]
exec(open("tests/simulate_takes.py").read().split("\nif sys.argv[1]")[0])
inside = total = 0
for line in open(sys.argv[2]):
    if line[0] in "!#":
        continue
    values, said = line.split("!")
    hz, re, im = map(float, values.split())
    if 60 <= hz <= 15000:
        off = abs((re + 1j * im) / instrument(np.array([hz]))[0] - 1)
        inside += off <= 2 * float(said.split("+-")[1].split("%")[0]) / 100
        total += 1
print(f"{100 * inside / total:.0f}")
PY
)
echo "hum: $covered % of the points within twice their stated error"
check "hum: $covered % of the points within twice their stated error" test "$covered" -ge 90

# What is wrong is found and said.
refused() { # refused NAME WORDS KEYS...
    local name=$1 words=$2
    shift 2
    mkdir -p "$scratch/$name"
    simulate make "$scratch/sweep.wav" "$scratch/$name" "$@"
    measure "$scratch/$name" && fail "$name: is taken"
    check "$name: '$(cat "$scratch/$name/said")' does not say '$words'" grep -q "$words" "$scratch/$name/said"
    check "$name: leaves a file" test ! -e "$scratch/$name/z.s1p"
}
# A curve that does not say what its columns are is taken with a word, or refused.
awk '!/^[!#]/ { printf "%s %.9g %.9g\n", $1, sqrt($2 * $2 + $3 * $3), atan2($3, $2) * 57.29577951308232 }' \
    "$scratch/plain/z.s1p" >"$scratch/bare.txt"
says fit "$scratch/bare.txt" >"$scratch/said"
check "bare columns are taken without a word: $(cat "$scratch/said")" grep -q 'taken as Hz, ohm and degrees' "$scratch/said"
cp "$scratch/bare.txt" "$scratch/bare.s1p"
check 'a Touchstone file without an option line is taken' \
    test "$(says fit "$scratch/bare.s1p" | grep -c 'expected an option line')" = 1
grep -v '^[!#]' "$scratch/plain/z.s1p" | sed 's/!.*//' >"$scratch/parts.txt"
check 'real and imaginary parts are taken for degrees' \
    test "$(says fit "$scratch/parts.txt" | grep -c 'Hz,Re,Im')" = 1

check 'one take for two is taken' grep -q 'expected a recording of its own for each take' <<<"$(says measure \
    --open "$scratch/plain/open.wav" --known "$scratch/plain/known.wav" --known-value 99.8k "$scratch/plain/open.wav")"
check 'a silent take with a sweep is taken' grep -q 'expected the silent take without a sweep' <<<"$(says measure \
    --open "$scratch/plain/open.wav" --known "$scratch/plain/known.wav" --known-value 99.8k \
    --silent "$scratch/plain/known.wav" "$scratch/plain/take.wav")"
refused swapped 'exchanged' swap
rm -f "$scratch/plain/z.s1p"
# One take that is wrong, the others right.
/usr/bin/python3 - "$scratch/plain" <<'PY'
import sys
import numpy as np
from scipy.io import wavfile
rate, x = wavfile.read(f"{sys.argv[1]}/take.wav")
one, two, middle, t = x[:, 0], x[:, 1], len(x) // 2, np.arange(len(x)) / rate
hum = 0.05 * sum(np.sin(2 * np.pi * 50 * k * t) / k for k in (1, 2, 3, 5, 7))
spoilt = {
    "crossed": x[:, ::-1],
    "twice": np.stack([one, one], 1),
    "dead": np.stack([one, 1e-6 * two], 1),
    "late": np.stack([one[1:], two[:-1]], 1),
    "bent": np.stack([one, np.clip(two, -0.6 * two.max(), 0.6 * two.max())], 1),
    "clipped": np.clip(4 * x, -1, 1),
    "lost": np.delete(x, slice(middle, middle + 256), 0),
    "few": np.delete(x, slice(middle, middle + 16), 0),
    "low": 1e-4 * x,
    "hummed": x + np.stack([0 * t, hum], 1),
    "mono": two,
}
for name, y in spoilt.items():
    wavfile.write(f"{sys.argv[1]}/{name}.wav", rate, y.astype(np.float32))
wavfile.write(f"{sys.argv[1]}/eight.wav", rate, np.round(127 * x + 128).astype(np.uint8))
PY
: >"$scratch/plain/empty.wav"
spoilt() { # spoilt OPEN KNOWN TAKE WORDS: one line, no file
    local said
    said=$(says measure --open "$scratch/plain/$1.wav" --known "$scratch/plain/$2.wav" --known-value 99.8k \
        -o "$scratch/plain/spoilt.s1p" "$scratch/plain/$3.wav")
    check "$1, $2, $3: '$said' does not say '$4' in one line" test "$(grep -c "$4" <<<"$said") $(wc -l <<<"$said")" = '1 1'
    check "$1, $2, $3: leaves a file" test ! -e "$scratch/plain/spoilt.s1p"
}
spoilt dead known take 'expected something in channel 2'
spoilt bent known take 'harmonics'
spoilt clipped known take 'full scale'
spoilt lost known take 'samples were lost'
spoilt low known take 'turn the output up'
spoilt eight known take 'found 8: record with 24 bits'
spoilt mono known take 'expected two channels'
spoilt empty known take 'an empty file'
spoilt open known crossed 'exchanged'
spoilt open known twice 'do both hear the output'
spoilt open known late 'negative resistance'
spoilt open known few '16 samples less: samples were lost'
spoilt open take hummed 'expected a resistor across the plug'
check 'hum that the silent take has not is not said' grep -q 'more hum and noise than the silent take' <<<"$(says measure \
    --open "$scratch/plain/open.wav" --known "$scratch/plain/known.wav" --known-value 99.8k \
    --silent "$scratch/plain/silent.wav" -o "$scratch/plain/hummed.s1p" "$scratch/plain/hummed.wav")"
check 'its own hum is not in the stated errors' awk 'FNR == NR { if (!/^[!#]/) { e[$1] = $5 } next }
    !/^[!#]/ && $1 > 99 && $1 < 102 { sub(/.*-/, "", $5); sub(/.*-/, "", e[$1]); n++; good = ($1 in e) && $5 > 5 * e[$1]; exit }
    END { exit !(n && good) }' \
    "$scratch/hum/z.s1p" "$scratch/plain/hummed.s1p"
measure "$scratch/plain" 23k && fail 'a wrong check resistor is taken'
check 'a wrong check resistor is not named' grep -q 'read both resistors again' "$scratch/plain/said"
cp "$scratch/plain/silent.wav" "$scratch/plain/take.wav"
measure "$scratch/plain" && fail 'a take without a sweep is taken'
check 'a take without a sweep is not named' grep -q 'turn the output up\|expected the sweep' "$scratch/plain/said"
head -c 20000 "$scratch/plain/open.wav" >"$scratch/plain/take.wav"
measure "$scratch/plain" && fail 'half a file is taken'
counts_done
