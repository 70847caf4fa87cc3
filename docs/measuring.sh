#!/bin/sh
# SPDX-License-Identifier: ISC
# Makes docs/measuring.md: sh docs/measuring.sh PROGRAM. The takes are simulated (tests/simulate_takes.py: SciPy).
set -e
program=$1
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
"$program" sweep -o "$scratch/sweep.wav" >/dev/null
for take in full: dark:tone=0 half:volume=0.12; do
    name=${take%%:*}
    mkdir "$scratch/$name"
    # shellcheck disable=SC2086 # nothing, or one word
    /usr/bin/python3 tests/simulate_takes.py make "$scratch/sweep.wav" "$scratch/$name" noise=-90 hum=2 ${take#*:}
    "$program" measure --open "$scratch/$name/open.wav" --known "$scratch/$name/known.wav" --known-value 99.8k \
        --check "$scratch/$name/check.wav" --check-value 22.1k --silent "$scratch/$name/silent.wav" \
        -o "$scratch/$name.s1p" "$scratch/$name/take.wav" 2>"$scratch/$name.said"
done
program_in() { # what the program says, as a block
    (cd "$scratch" && "$program" "$@" 2>&1) | grep -v SHA-256 | sed 's/^/    /'
}
case $program in /*) ;; *) program=$PWD/$program ;; esac
cat <<'PAGE'
# Measuring a closed instrument

There is an instrument whose sound is the goal and that must not be opened. Three sweeps at its jack become a preset
of its circuit, and the honest word how sure each figure is. This page is made by `make docs`: the takes in it are
simulated, of an instrument that is known (4.48 H at 120 Hz, 8 kΩ, 120 pF, steel rods; two pots of 500 kΩ, 22 nF), so
that you can see how near the answers come. Takes of your own will differ.

## Before you begin

- Measure passive instruments only. One with a battery or a preamplifier is another circuit, and its electronics may
  not bear what comes in.
- Nothing of the mains belongs into the circuit but the interface's own supply. Never connect the jig to an
  amplifier's output or inside an amplifier: charge stays there when it is off. Work on mains equipment is for
  licensed people; local rules hold.
- The sweep is loud: turn loudspeakers and headphones down, or off.
- All cautions: [cautions.md](cautions.md).

## The jig and the takes

`coilwright sweep -o sweep.wav` writes the sweep and says how the jig is connected: the interface's output, a resistor
of 100 kΩ, a node, the plug. Channel 1 hears the output, channel 2 the node. Record, all at the same gains:

1. the plug hanging free, then with a known resistor (read it from an ohmmeter), then with a second one;
2. the instrument plugged in, nothing played; then the sweep with **volume and tone at 10**;
3. the sweep with **tone at 0**, volume at 10;
4. the sweep with **volume about half**, tone at 10. How far the pot is turned need not be known.

One pickup only: two that stand in parallel look like one with other values. Switch the other one off; a second
pickup behind a volume pot of its own is noticed, one behind the same pot is not.

Each sweep becomes an impedance:

    coilwright measure --open open.wav --known known.wav --known-value 99.8k --check check.wav --check-value 22.1k \
        --silent silent.wav -o full.s1p take.wav

PAGE
sed 's/^/    /' "$scratch/full.said"
cat <<'PAGE'

An analyser's file does as well: Touchstone, or a table of three columns.

## From three curves to a preset

    coilwright fit -o benchmark.ttl full.s1p dark.s1p@tone=0 half.s1p@volume=half

PAGE
program_in fit -o benchmark.ttl full.s1p dark.s1p@tone=0 half.s1p@volume=half
cat <<'PAGE'

Pots and capacitor are told what they are marked (`--volume-pot 250k+-20%`, `--tone-cap 47n`), an ohmmeter's reading
helps (`--dc-resistance 7.9k`), and `--plot` draws what the fit leaves of the curves. What is read from it:

- **The verdict first.** Chi-squared is near 1, or below, where the circuit explains the takes as well as their noise
  allows; above 3 the circuit is another one, and no figure is to be relied on.
- **Figures** have 95 % intervals. What the model itself misses is in them: the size of that comes from simulated
  instruments, not from real ones.
- **La, Le, K and R** describe the core and trade against one another; rely on the inductance at 120 Hz and 3 kHz and
  on the curve.
- **Response**: in this instrument it is known better than without its controls, where pot and loss part.

## With one take alone

    coilwright fit full.s1p

PAGE
program_in fit full.s1p
cat <<'PAGE'

With volume at 10 the pot and the coil's loss are one number: a larger pot with more loss gives the same curve. The
take at half volume parts them.

## How it was checked

An outside program simulates instruments with exact rods, alnico, ferrite, covers and pots that scatter, adds noise, and
compares (`make check-fit`; a short form is in `make check`). 100 instruments at each noise, of a seed that nothing was
set by, with the three takes of above: the intervals of figures and responses held the truth in 91 to 100 of 100 with
noise 60 dB under the source and in 92 to 100 with 40 dB; no right circuit was doubted. At 60 dB the response in the
same instrument, to 10 kHz, came within 0.05 dB in 95 (steel), 65 (alnico) and 100 (ferrite) of 100; alnico's slow losses
and its capacitance are the hardest to part, and the interval says so. The least-squares search meets the certified answers of
three of NIST's nonlinear datasets, and SciPy's.
PAGE
