#!/bin/sh
# SPDX-License-Identifier: ISC
# Makes docs/measuring.md: sh docs/measuring.sh PROGRAM. The takes are simulated (coilwright sweep --rehearse).
set -e
program=$(realpath "$1")
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
export LC_ALL=C.UTF-8 SOURCE_DATE_EPOCH=1795651200 XDG_CONFIG_HOME="$scratch"

# run ARGUMENTS...: the command as the reader types it, and what it answers. Digests are left out: their last digits
# hang on the machine's mathematics library.
run() {
    printf '    $ coilwright'
    for word in "$@"; do
        case $word in *\ *) printf " '%s'" "$word" ;; *) printf ' %s' "$word" ;; esac
    done
    printf '\n'
    (cd "$scratch" && "$program" "$@" 2>&1) | grep -v SHA-256 |
        sed -e 's/[0-9a-f]\{8\}\( [0-9a-f]\{8\}\)\{7\}/(its digits)/' -e 's/^/    /' -e 's/ *$//'
    echo
}
jig='--open open.wav --known known.wav --known-value 99.8k --check check.wav --check-value 22.1k --silent silent.wav'

cat <<'PAGE'
# Measuring a closed instrument

There is an instrument whose sound is the goal and that must not be opened. Three sweeps at its jack become a preset
of its circuit, the honest word how sure each figure is, and a list of what could be wound to come near it. This page is
a way to walk, from the jig to the candidates, with every command as it is typed and what it answers (`make docs` runs
them, a test compares). The takes in it are simulated, so that you can walk it before you have built anything: of an
instrument with 4.48 H at 120 Hz, 8 kΩ, 120 pF and steel rods, two pots of 500 kΩ, 22 nF. Takes of your own will differ.

## Before you begin

- Measure passive instruments only. One with a battery or a preamplifier is another circuit, and its electronics may
  not bear what comes in.
- Nothing of the mains belongs into the circuit but the interface's own supply. Never connect the jig to an
  amplifier's output or inside an amplifier: charge stays there when it is off. Work on mains equipment is for
  licensed people; local rules hold.
- The sweep is loud: turn loudspeakers and headphones down, or off.
- All cautions: [cautions.md](cautions.md).

## The jig and the takes

`coilwright sweep -o sweep.wav --instruction jig.pdf` writes the sweep, and a page for the bench with the circuit: the
interface's output, a resistor of 100 kΩ, a node, the plug. Channel 1 hears the output, channel 2 the node. Play the sweep
and record both channels, all at the same gains:

1. the plug hanging free, then with a known resistor (read it from an ohmmeter), then with a second one;
2. the instrument plugged in, nothing played; then the sweep with **volume and tone at 10**;
3. the sweep with **tone at 0**, volume at 10;
4. the sweep with **volume about half**, tone at 10. How far the pot is turned need not be known.

With a JACK server (PipeWire is one) `coilwright measure --live takes --known-value 99.8k -o full.s1p` does it all in one
go: it says what to plug in, shows the levels, plays, records and checks each take, and makes it again where samples were
lost. The next setting of the controls needs no new jig: add `--open takes/open.wav --known takes/known.wav`. With
`--exciter` it makes those takes. Under PipeWire it is `pw-jack coilwright measure --live ...`; tried with PipeWire 0.3.65
and a client in the jig's place, which came out within 0.0001 dB, not with an interface of its own.

Here the takes come from a rehearsal:

PAGE
run sweep -o sweep.wav --rehearse .
cat <<'PAGE'
One pickup only: two that stand in parallel look like one with other values. Switch the other one off; a second
pickup behind a volume pot of its own is noticed, one behind the same pot is not.

## First, a test of the bench

Measure something that is known: a choke of 100 mH from a shop in the instrument's place. (Its resistance and tolerance
stand on its data sheet; 5 to 10 % is usual, common practice, no source.) A resistor of 100 kΩ tests less: the jig is told
by one.

PAGE
# shellcheck disable=SC2086 # words
run measure $jig -o choke.s1p choke.wav
cat <<'PAGE'
The check resistor came out as the ohmmeter read it, and the open cable has a believable capacitance. At 1 kHz the
choke's reactance is 2π · 1 kHz · 0.1 H = 628 Ω:

PAGE
awk '!/^[!#]/ && $1 > 990 { printf "    %.0f Hz: %.1f + j %.1f ohm: %.1f mH\n\n", $1, $2, $3, 1000 * $3 / (6.283185307 * $1); exit }' \
    "$scratch/choke.s1p"
cat <<'PAGE'
Where it comes out wrong: both inductance and resistance off by the same share means a wrong known value; right below and
wrong above some kHz, a cable that was not on in the open take; a refusal names what to do.

## From each sweep an impedance

PAGE
# shellcheck disable=SC2086
run measure $jig -o full.s1p full.wav
# shellcheck disable=SC2086
for take in dark half; do run measure $jig -o $take.s1p $take.wav | head -n 2 | sed '/^    C/d'; done
cat <<'PAGE'

Each point of the file has its own error, from the hum and noise of `silent.wav`. What is wrong with a take is said in
one line and refused: channels exchanged, an idle channel, overload (at full scale, or by its harmonics), lost samples, one
channel a sample late, too little level, 8 bits, a known take that is of no resistor. More hum than the silent take has is
said, and counted.
An analyser's file does as well: Touchstone, or a table of three columns, which a heading names (`Hz,ohm,degrees` or
`Hz,Re,Im`).

## From three curves to a preset

PAGE
run fit -o benchmark.ttl full.s1p dark.s1p@tone=0 half.s1p@volume=half
cat <<'PAGE'
Pots and capacitor are told what they are marked (`--volume-pot 250k+-20%`, `--tone-cap 47n`), an ohmmeter's reading
helps (`--dc-resistance 7.9k`), and `--plot` draws what the fit leaves of the curves. What is read from it:

- **The verdict first.** Chi-squared is near 1, or below, where the circuit explains the takes as well as their noise
  allows; above 3 the circuit is another one, and no figure is to be relied on. Nor is it where a take has more noise
  than any usable one (34 dB under the source), where the curves are met by parts that no pickup has (outside what a
  preset can hold) or that are far from their marks, or where what is left goes one way over stretches of the curve
  (it is looked at in its eight smoothest terms, in which noise has little and a wrong circuit what it leaves). A
  file of another program states no errors; the noise is then estimated from the curve itself, which is said: such a
  verdict is weaker. No take shows a second pickup behind the same pot. One behind a pot of its own was shown
  by two takes, volume at 10 and at half, in 24 of 24 simulated instruments, and by the first alone in none: one pickup
  meets it as well as its noise allows, and the fit says so.
- **Figures** have 95 % intervals. What the model itself misses is in them: the size of that comes from simulated
  instruments, not from real ones. What the known resistor is off by is not: it moves resistance, inductance and pots by
  its own share, and the capacitances the other way.
- **La, Le, K, T and R** describe the core and trade against one another; rely on the inductance at 120 Hz and 3 kHz and
  on the curve. K is the skin effect of a conducting core, T the time from which it reigns (a round rod loses less
  below), R what a core with little of it costs.
- **Response**: in this instrument it is known better than without its controls, where pot and loss part.

## The benchmark is kept

Nobody shall ask in a year whether this is still what was measured. Sealed, the preset tells in the plugin's window whether
a control was moved, and `coilwright verify` years later; the fingerprint goes on paper.

PAGE
run seal benchmark.ttl --title Benchmark --because 'fitted to three takes' --preset target.ttl -o benchmark.seal
cat <<'PAGE'
## With one take alone

PAGE
run fit full.s1p
cat <<'PAGE'
With volume at 10 the pot and the coil's loss are one number: a larger pot with more loss gives the same curve. The
take at half volume parts them.

## Coils that come near it

PAGE
run match target.ttl --gauge 42,43 --list 4
cat <<'PAGE'
With `-o near` there are presets, and a page to hear them beside the instrument: turn the volume down before you begin.
How the list is read, and what one coil on the bench adds to it: [match.md](match.md).

## How the string's voltage comes through

No impedance tells how core and cover weaken the string's voltage on its way in. A small coil over the pickup does: some
50 turns on a former of about 10 mm, fed by the output through 1 kΩ, channel 2 at the jack (it is on the page of
`--instruction`). One take without and one with a known capacitor at the plug:

PAGE
run measure --exciter --silent silent.wav --loaded loaded.wav --loaded-value 470p --cable 350p -o exciter.csv exciter.wav
run fit full.s1p --exciter exciter.csv | sed -n '1,2p; /^    Figures/,/capacitance/p; /^    EMF/,$p'
cat <<'PAGE'
The two loads alone give an impedance too, without any jig: `coilwright fit --exciter exciter.csv`. Cable and input
(`--cable`) are what the jig's open take told. How the exciter lies is not known, so that level and turns remain untold.

## How it was checked

The simulated takes of this page are made with the program's own circuit and are no proof. The judges stand in the tests:
an outside program (NumPy and SciPy) makes takes and responses of its own and judges what comes of them; another
simulates instruments with exact rods, alnico, ferrite, covers and pots that scatter, adds noise, and
compares (`make check-fit`; a short form is in `make check`). Nothing in the fit was set by how often its intervals hold;
these are instruments of a seed of their own, 200 at 60 dB and 86 at 40 dB, with the three takes of above. No right circuit
was doubted. Intervals held the truth so many times in 100 (to be wanted: 90 to 98; of 200, a 98 comes out as 96 to 100):

| | noise 60 dB under the source | 40 dB |
|---|---|---|
| DC resistance | 97 | 97.5 |
| inductance at 120 Hz; at 3 kHz | 95; 97 | 97.5; 97.5 |
| loss at 3 kHz | 96 | 95.5 |
| capacitance | 98.5 | 93 |
| volume pot; tone pot | 95.5; 95.5 | 94; 94 |
| tone capacitor | 96.5 | 97.5 |
| response in the instrument, 200 Hz to 10 kHz | 95.5 to 97 | 92 to 96.5 |
| response of the pickup alone | 96 to 97.5 | 94 to 96.5 |

By kind at 60 dB: steel 36 to 40 of 40, alnico 34 (volume pot) to 40, steel with a cover 34 (inductance at 120 Hz) to 39 of
40, alnico with a cover 36 to 40 of 40. Ferrite, which loses nothing, was held 39 or 40 times of 40: there the intervals are
wider than they need be, as the fit keeps room for a leak. The least sure is alnico with a cover at 40 dB: 12 to 17 of 17.
In print no interval of a response is below 0.01 dB. At 60 dB the response in the same instrument, to 10 kHz, came within
0.05 dB in 40 of 40 with steel, 35 of 40 with alnico and 40 of 40 with ferrite, within 0.15 dB in 80 of 80 with a cover.
Alnico is the hardest: its eddy losses and the capacitance are nearly one number, and a fit that knew the rod's exact law
is expected to meet it in some 88 of 100 (Cramér-Rao's bound, worked out for simulated instruments and takes like these).
The simulated cores are round rods, whose law the form follows; a pickup of other parts (plates, blades, screws of several
sizes) may lie further off than the intervals tell. The simulated pickups have no leak across the winding, and the forms
that the fit tries without one are then the truth itself: a real pickup that leaks gains less. Nonsense
(random numbers, a resistor, a capacitor, a loudspeaker, two peaks, another unit) is doubted in words, whether it states errors or not. The least-squares search meets the certified answers of three
of NIST's nonlinear datasets, and SciPy's.
PAGE
