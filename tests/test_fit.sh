#!/bin/bash
# SPDX-License-Identifier: ISC
# fit against instruments that an outside program simulates (NumPy and SciPy: tests/simulate_instruments.py; cores by
# the exact function of a conducting rod, covers as coupled loops). CW_FIT_COUNT instruments a noise (10; the campaign
# `make check-fit` takes 200) from a seed that nothing was set by.
. tests/support/counts.sh
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
program=$CW_PROGRAM
count=${CW_FIT_COUNT:-10}
seed=${CW_FIT_SEED:-20261}
status() { "$@" >/dev/null 2>&1; echo $?; }

# ---- wrong input ----
printf '# Hz Z RI R 1\n100 1 1\n200 2 2\n' >"$scratch/short.s1p"
printf 'not a curve\n' >"$scratch/text.s1p"
check 'no take is taken' test "$(status "$program" fit)" = 2
check 'a file that is not there is taken' test "$(status "$program" fit "$scratch/none.s1p")" = 1
check 'a text is taken' test "$(status "$program" fit "$scratch/text.s1p")" = 1
printf 'RIFF....WAVEfmt ' >"$scratch/take.wav"
printf '# exciter coil to jack, channel 2 over channel 1\n100,1,1,1,0\n' >"$scratch/exciter.csv"
check 'a recording is no curve' grep -q 'found a recording: coilwright measure' <<<"$("$program" fit "$scratch/take.wav" 2>&1)"
check 'a response is no curve' grep -q 'found the response by an exciter coil: --exciter' <<<"$("$program" fit "$scratch/exciter.csv" 2>&1)"
check 'two points are taken' grep -q 'expected at least 20 points' <<<"$("$program" fit "$scratch/short.s1p" 2>&1)"
check 'volume at 0 is taken' test "$(status "$program" fit "$scratch/short.s1p@volume=0")" = 1
check 'an unknown place is taken' grep -q "found 'x'" <<<"$("$program" fit "$scratch/short.s1p@tone=0,x" 2>&1)"
check 'controls at the leads are taken' grep -q 'expected @leads alone' <<<"$("$program" fit "$scratch/short.s1p@leads,tone=0" 2>&1)"
check 'no name is taken' grep -q "expected a file's name before @" <<<"$("$program" fit @tone=0 2>&1)"
check 'a pot of 1 ohm is taken' test "$(status "$program" fit --volume-pot 1R "$scratch/short.s1p")" = 2
check 'a tolerance of 0 is taken' test "$(status "$program" fit --tone-pot 500k+-0% "$scratch/short.s1p")" = 2
for bad in '--volume-pot 24k' '--volume-pot 2001k' '--tone-pot 500k+-101%' '--tone-pot 500k+-x' '--tone-cap 0.05n' '--tone-cap 300n' \
    '--bleed-cap 6000p' '--bleed-resistor 2M' '--dc-resistance 50R' '--dc-resistance 8k+-0%' '--dc-at body' '--celsius 121' '--as c'; do
    # shellcheck disable=SC2086 # option and value
    "$program" fit $bad "$scratch/short.s1p" >/dev/null 2>"$scratch/bad"
    bad_status=$?
    check "$bad: status $bad_status, $(cat "$scratch/bad")" grep -q -e "${bad%% *}: expected .*, found '${bad#* }'" "$scratch/bad"
    check "$bad is no wrong usage" test $bad_status = 2
done
# What can be: then the take is read, and it is too short.
"$program" fit --volume-pot 25k --tone-pot 2M+-0.01% --tone-cap none --tone-after-volume --bleed-cap 5000p --bleed-resistor 1M \
    --dc-resistance 7.9k+-0.5% --dc-at leads --celsius -40 --as rec "$scratch/short.s1p" >/dev/null 2>"$scratch/bad"
check "what can be is refused: $(cat "$scratch/bad")" grep -q 'short.s1p.*expected at least .* points' "$scratch/bad"
check 'a picture of another kind is taken' test "$(status "$program" fit -p x.gif "$scratch/short.s1p")" = 2

python=/usr/bin/python3
if ! need $python 'nothing is fitted' || ! $python -c 'import scipy' 2>/dev/null; then
    skip 'SciPy is not here: nothing is fitted'
    counts_done
    exit
fi

# ---- the certified answers, which are from memory, by SciPy ----
check 'SciPy has other answers than tests/strd' $python - <<'PY'
import numpy as np
from scipy.optimize import least_squares

models = {
    "misra1a": lambda b, x: b[0] * (1 - np.exp(-b[1] * x)),
    "mgh09": lambda b, x: b[0] * (x * x + b[1] * x) / (x * x + b[2] * x + b[3]),
    "thurber": lambda b, x: (b[0] + b[1] * x + b[2] * x**2 + b[3] * x**3) / (1 + b[4] * x + b[5] * x**2 + b[6] * x**3),
}
for name, model in models.items():
    path = f"tests/strd/{name}.txt"
    head = {w[1]: np.array(w[2:], float) for w in (line.split() for line in open(path)) if w[0] == "#" and w[1] in ("certified", "squares", "start")}
    y, x = np.loadtxt(path).T
    found = least_squares(lambda b: model(b, x) - y, head["start"], method="lm", x_scale=np.abs(head["start"]), xtol=1e-15, ftol=1e-15, gtol=1e-15, max_nfev=20000)
    assert np.max(np.abs(found.x / head["certified"] - 1)) < 1e-6, name
    assert abs(2 * found.cost / head["squares"][0] - 1) < 1e-9, name
PY

# ---- what is no pickup, or no curve: said, whether the file states its errors or not ----
mkdir "$scratch/attack"
$python - "$scratch/attack" <<'PY'
import sys

import numpy as np

rng = np.random.default_rng(5)
f = np.geomspace(50, 20e3, 60)
s = 2j * np.pi * f
coil = lambda ohm, henry, farad, loss: 1 / (1 / (ohm + 1 / (1 / (s * henry) + 1 / loss)) + s * farad)
controls = 1 / 500e3 + 1 / (500e3 + 1 / (s * 22e-9))
good = 1 / (1 / coil(8e3, 4.5, 120e-12, 1e6) + controls)
speaker = 6 + s * 0.4e-3 + 1 / (1 / 40 + s * 200e-6 + 1 / (s * 20e-3))


def noise(z, db=50):
    m = z / (z + 1e5) + 10 ** (-db / 20) / np.sqrt(2) * (rng.standard_normal(60) + 1j * rng.standard_normal(60))
    return 1e5 * m / (1 - m)


curves = {
    "good": noise(good),
    "random": rng.uniform(1e3, 1e6, 60) * np.exp(1j * rng.uniform(-1.5, 1.5, 60)),
    "noisy": noise(good, 28),
    "capacitor": noise(1 / (s * 1e-9) + 10),
    "resistor": noise(1e4 + 0 * s),
    "loudspeaker": noise(speaker),
    "peaks": noise(good + 1 / (1 / 2e5 + s * 100e-12 + 2 / s)),
    "kilohm": noise(good) * 1e-3,
    "megohm": noise(good) * 1e3,
    "conjugate": noise(np.conj(good)),
    "open": noise(1 / (1e-6 + s * 350e-12)),
}
for name, z in curves.items():
    with open(f"{sys.argv[1]}/{name}.csv", "w") as table, open(f"{sys.argv[1]}/{name}.s1p", "w") as stated:
        table.write("frequency Hz, magnitude ohm, phase deg\n")
        stated.write("# Hz Z RI R 1\n")
        for hz, v in zip(f, z):
            # of the noise that was added; for nonsense one that a file might well claim
            m = v / (v + 1e5)
            error = np.hypot(10 ** (-50 / 20) * abs(1 / m + 1 / (1 - m)), 3e-4)
            table.write(f"{hz:.8g},{abs(v):.10g},{np.degrees(np.angle(v)):.8g}\n")
            stated.write(f"{hz:.8g} {v.real:.10g} {v.imag:.10g} ! +-{100 * min(error, 1):.4g} %\n")
PY
for kind in csv s1p; do
    check "a right circuit is doubted ($kind)" grep -q 'Verdict: the circuit explains' <<<"$("$program" fit "$scratch/attack/good.$kind")"
    for what in random noisy capacitor resistor loudspeaker peaks kilohm megohm conjugate open; do
        [ "$what.$kind" != noisy.s1p ] || continue # it claims less noise than it has, which is another circuit: below
        : >"$scratch/table"
        "$program" fit --force --csv "$scratch/table" "$scratch/attack/$what.$kind" >"$scratch/said" 2>&1
        check "$what.$kind is explained: $(cat "$scratch/said")" grep -qE 'Do not rely|comes near these takes' "$scratch/said"
        check "$what.$kind is no doubt to programs" grep -qE 'doubt,1|^$' "$scratch/table"
    done
done
"$program" fit "$scratch/attack/good.csv" >"$scratch/said"
check 'a guess of noise is not said to be one' grep -q 'Noise estimated from the curve itself' "$scratch/said"
check 'stated errors are called a guess' bash -c "! '$program' fit '$scratch/attack/good.s1p' | grep -q estimated"
check 'kilohm for ohm is not guessed at' grep -q 'kohm taken for ohm' <<<"$("$program" fit "$scratch/attack/kilohm.csv")"
check 'too much noise is not said' grep -q 'more noise than any usable take' <<<"$("$program" fit "$scratch/attack/noisy.csv")"
check 'errors too small for the curve are no doubt' grep -q 'does not fit' <<<"$("$program" fit "$scratch/attack/noisy.s1p")"
cp "$scratch/attack/good.csv" "$scratch/attack/again.csv"
check 'one curve is two takes' grep -q 'found the same curve as volume 10, tone 10 and as volume 10, tone 0' \
    <<<"$("$program" fit "$scratch/attack/good.csv" "$scratch/attack/good.csv@tone=0" 2>&1)"
check 'a copy is another take' test "$(status "$program" fit "$scratch/attack/good.csv" "$scratch/attack/again.csv")" = 1

# ---- a population ----
simulate() { $python tests/simulate_instruments.py "$@"; }
fit_one() { # fit_one FOLDER: told.csv beside truth.csv
    "$CW_PROGRAM" fit --force --csv "$1/told.csv" "$1/full.s1p" "$1/dark.s1p@tone=0" "$1/half.s1p@volume=half" >"$1/said" 2>&1
}
export -f fit_one
fit_all() { # fit_all FOLDER: of each folder in it, as many at a time as JOBS says
    local here
    printf '%s\0' "$1"/* | xargs -0 -n 1 -P "${JOBS:-1}" bash -c 'fit_one "$0"'
    for here in "$1"/*; do
        test -s "$here/told.csv" || fail "$here: $(cat "$here/said")"
    done
}
for noise in 60 40; do
    [ "$noise" = 60 ] || [ "$count" -gt 10 ] || continue
    simulate make "$scratch/$noise" "$seed" "$count" $noise
    fit_all "$scratch/$noise"
    simulate judge "$scratch/$noise" >"$scratch/judged" || fail "no judgement: $(cat "$scratch/judged")"
    cat "$scratch/judged"
    # 90 to 98 of 100, give or take three standard deviations of what this many leave open; a figure of which the
    # interval is the tolerance of its mark may hold always.
    check "intervals at $noise dB hold too little" awk -v n="$count" '/held/ { split($0, w, "held "); h = w[2] + 0
        least = 90 - 300 * sqrt(0.09 / n); if (h < least) { print; bad = 1 } } END { exit bad }' "$scratch/judged"
    check "right circuits are doubted at $noise dB" awk '/doubted/ { split($0, w, "doubted "); d += w[2] + 0; n += 10 }
        END { exit !(n && d == 0) }' "$scratch/judged"
done

# ---- a circuit that is none of these, and one that no curve tells ----
simulate make "$scratch/second" 3 1 60 second
fit_all "$scratch/second"
check 'a second pickup is not noticed' grep -q 'does not fit' "$scratch/second/000/said"
sed -i 's/ !.*//' "$scratch"/second/000/*.s1p
fit_all "$scratch/second"
check 'a second pickup is not noticed without stated errors' grep -q 'Do not rely' "$scratch/second/000/said"
simulate make "$scratch/plain" 3 1 60 plain
"$program" fit "$scratch/plain/000/full.s1p" >"$scratch/said"
check 'that a second pickup hardly shows is not said' grep -q 'whether a second pickup is on' "$scratch/said"
check 'pot and loss are told apart by volume at 10' grep -q 'Not told by these takes: volume pot' "$scratch/said"
check 'the take that would tell the pot is not named' grep -q 'volume at half would tell' "$scratch/said"

# ---- the preset ----
here=$scratch/60/000
check 'no preset' "$program" fit -o "$scratch/benchmark.ttl" -p "$scratch/r.svg" --dc-resistance 8k+-50% --celsius 24 \
    "$here/full.s1p" "$here/dark.s1p@tone=0" "$here/half.s1p@volume=half" >/dev/null
check 'the preset is not one' "$program" response --leads "$scratch/benchmark.ttl" >"$scratch/leads"
check 'the preset does not hold where it comes from' grep -q "$(sha256sum "$here/full.s1p" | cut -d' ' -f1)" "$scratch/benchmark.ttl"
check 'the picture is missing' grep -q '<svg' "$scratch/r.svg"
check 'a take is replaced by its fit' test "$(status "$program" fit -f -o "$scratch/attack/good.csv" "$scratch/attack/good.csv")" = 1
check 'a take is replaced by figures' test "$(status "$program" fit -f --csv "$scratch/attack/good.csv" "$scratch/attack/good.csv")" = 1
check 'a take is gone' cmp -s "$scratch/attack/good.csv" "$scratch/attack/again.csv"
mkdir "$scratch/foreign.lv2"
echo '@prefix lv2: <http://lv2plug.in/ns/lv2core#> . <urn:other> a lv2:Plugin .' >"$scratch/foreign.lv2/manifest.ttl"
cp "$scratch/foreign.lv2/manifest.ttl" "$scratch/foreign.ttl"
check 'another bundle is taken' test "$(status "$program" fit -f -o "$scratch/foreign.lv2" "$here/full.s1p")" = 1
check 'its manifest is replaced' cmp -s "$scratch/foreign.lv2/manifest.ttl" "$scratch/foreign.ttl"
check 'something was left in it' test "$(ls "$scratch/foreign.lv2")" = manifest.ttl
check 'a bundle of ours is no bundle' "$program" fit -o "$scratch/own.lv2" "$here/full.s1p" >/dev/null
check 'it is not replaced where that is asked' "$program" fit -f -o "$scratch/own.lv2" "$here/full.s1p" >/dev/null
check 'a preset is replaced unasked' test "$(status "$program" fit -o "$scratch/benchmark.ttl" "$here/full.s1p")" = 1
"$program" fit --as rec -o - "$here/full.s1p" >"$scratch/rec.ttl" 2>/dev/null
check 'as a recording it is none' grep -q 'rec_inductance' "$scratch/rec.ttl"
counts_done
