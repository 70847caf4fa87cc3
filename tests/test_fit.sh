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
check 'two points are taken' grep -q 'expected at least 20 points' <<<"$("$program" fit "$scratch/short.s1p" 2>&1)"
check 'volume at 0 is taken' test "$(status "$program" fit "$scratch/short.s1p@volume=0")" = 1
check 'an unknown place is taken' grep -q "found 'x'" <<<"$("$program" fit "$scratch/short.s1p@tone=0,x" 2>&1)"
check 'a pot of 1 ohm is taken' test "$(status "$program" fit --volume-pot 1R "$scratch/short.s1p")" = 2
check 'a tolerance of 0 is taken' test "$(status "$program" fit --tone-pot 500k+-0% "$scratch/short.s1p")" = 2
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

# ---- a population ----
simulate() { $python tests/simulate_instruments.py "$@"; }
fit_all() { # fit_all FOLDER: told.csv beside each truth.csv
    local here
    for here in "$1"/*; do
        "$program" fit --csv "$here/told.csv" "$here/full.s1p" "$here/dark.s1p@tone=0" "$here/half.s1p@volume=half" \
            >"$here/said" 2>&1 || fail "$here: $(cat "$here/said")"
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
simulate make "$scratch/plain" 3 1 60 plain
"$program" fit "$scratch/plain/000/full.s1p" >"$scratch/said"
check 'pot and loss are told apart by volume at 10' grep -q 'Not told by these takes: volume pot' "$scratch/said"
check 'the take that would tell the pot is not named' grep -q 'volume at half would tell' "$scratch/said"

# ---- the preset ----
here=$scratch/60/000
check 'no preset' "$program" fit -o "$scratch/benchmark.ttl" -p "$scratch/r.svg" --dc-resistance 8k+-50% --celsius 24 \
    "$here/full.s1p" "$here/dark.s1p@tone=0" "$here/half.s1p@volume=half" >/dev/null
check 'the preset is not one' "$program" response --leads "$scratch/benchmark.ttl" >"$scratch/leads"
check 'the preset does not hold where it comes from' grep -q "$(sha256sum "$here/full.s1p" | cut -d' ' -f1)" "$scratch/benchmark.ttl"
check 'the picture is missing' grep -q '<svg' "$scratch/r.svg"
check 'a preset is replaced unasked' test "$(status "$program" fit -o "$scratch/benchmark.ttl" "$here/full.s1p")" = 1
"$program" fit --as rec -o - "$here/full.s1p" >"$scratch/rec.ttl" 2>/dev/null
check 'as a recording it is none' grep -q 'rec_inductance' "$scratch/rec.ttl"
counts_done
