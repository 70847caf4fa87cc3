#!/bin/sh
# SPDX-License-Identifier: ISC
# Makes docs/start-to-finish.md: sh docs/start-to-finish.sh PROGRAM. The takes are simulated (tests/simulate_takes.py:
# SciPy), and so are the listener and the batches: what a person would do stands here as arithmetic.
set -e
program=$(realpath "$1")
sources=$(pwd)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
export LC_ALL=C.UTF-8 SOURCE_DATE_EPOCH=1795651200 XDG_CONFIG_HOME="$scratch"
cd "$scratch"

# run ARGUMENTS...: the command as the reader types it, and what it answers. Digests are left out: their last digits
# hang on the machine's mathematics library.
run() {
    printf '    $ coilwright'
    for word in "$@"; do
        case $word in *[\ \;]*) printf " '%s'" "$word" ;; *) printf ' %s' "$word" ;; esac
    done
    printf '\n'
    "$program" "$@" 2>&1 | sed -e "s|$scratch/||g" -e 's/[0-9a-f]\{16,\}/(its digits)/g' -e 's/[0-9a-f]\{8\}\( [0-9a-f]\{8\}\)\{7\}/(its digits)/' -e 's/^/    /' -e 's/ *$//'
    printf '\n'
}
# only PATTERN ARGUMENTS...: the same, of the answer only the lines that match.
only() {
    pattern=$1
    shift
    run "$@" | grep -e '^    \$' -e "$pattern" -e '^$'
}
# readings SEAL COUNT: a batch as SEAL says it would be wound, with a little scatter, read at 22 degC.
readings() {
    awk -v count="$2" '
        $1 == "figure" { figure[$2] = $3 }
        END {
            print "serial,resistance,temperature,inductance,resonance"
            for (i = 1; i <= count; i++) {
                scatter = 0.004 * sin(2.1 * i)
                printf "31-%02d,%.3fk,22,%.3f,%.0f\n", i, figure["resistance"] * (1 + 2 * 0.00393) * (1 + scatter) / 1000,
                       figure["inductance"] * (1 + 2 * scatter), figure["bench"] * (1 - scatter)
            }
        }' "$1"
}

cat <<'PAGE'
# From a closed instrument to a box of coils

One order from its first day to its second revision. A player two valleys away has an instrument that must not be
opened; he wants a pickup of that voice for another one, and a single-coil sound from it that is not half as loud.
Everything that is typed stands here, and what the program answers; the page is made by `make docs`, and a test notices
when an answer changes. Instrument, listener and batches are simulated, so that you can see how near the answers come;
the instrument's circuit is the one of [measuring.md](measuring.md).

Before the first day: [cautions.md](cautions.md). Where mains, hot wax, solder and machines are concerned, local codes
and licensed people come first.

A journal keeps what is done, in plain text (`--use -` ends that):

PAGE
run journal --use order-31.log
cat <<'PAGE'
## Monday: the instrument is measured

    $ coilwright sweep -o sweep.wav

The player records it through an interface, a resistor and three settings of his controls, as
[measuring.md](measuring.md) tells in full, and mails the takes. Each becomes an impedance:

    $ coilwright measure --open open.wav --known known.wav --known-value 99.8k --check check.wav --check-value 22.1k \
        --silent silent.wav -o full.s1p take.wav

and the three together a circuit:

PAGE
"$program" sweep -o sweep.wav >/dev/null
for take in full: dark:tone=0 half:volume=0.12; do
    name=${take%%:*}
    mkdir "$name"
    # shellcheck disable=SC2086 # nothing, or one word
    (cd "$sources" && /usr/bin/python3 tests/simulate_takes.py make "$scratch/sweep.wav" "$scratch/$name" noise=-90 hum=2 ${take#*:})
    "$program" measure --open "$name/open.wav" --known "$name/known.wav" --known-value 99.8k --check "$name/check.wav" \
        --check-value 22.1k --silent "$name/silent.wav" -o "$name.s1p" "$name/take.wav" >/dev/null 2>&1
done
only 'Verdict\|resistance at\|inductance at 120\|capacitance:\|pot:' fit -o benchmark.ttl full.s1p dark.s1p@tone=0 half.s1p@volume=half
cat <<'PAGE'
(The instrument that was simulated has 4.48 H at 120 Hz, 8 kΩ, 120 pF and two pots of 500 kΩ.)

## Tuesday: which coils come near it

The builder has a former for two coils, two gauges of wire and two magnets on the shelf:

PAGE
run match benchmark.ttl --former dual-coil --coils 'two in series' --gauge 42,43 --magnet 'alnico 2,alnico 5' --cover none --list 3 -o near
cat <<'PAGE'
The list is of a model, so that three coils that differ by less than it knows have one place. Number two takes the wire
that every winder has, so it shall be that one; `near/index.html` plays all of them beside the instrument.

## Wednesday: the split

PAGE
cp near/settings/03-*.ttl candidate.ttl
run split candidate.ttl --level 75% --by tap --by resistor -o split --because 'he wants three quarters of the level'
cat <<'PAGE'
Both bring three quarters of the level. The tap is wound in and cannot be changed; the resistor can be soldered by
anyone, and is darker. Words do not decide that.

## Thursday: the player decides, without knowing which is which

PAGE
run blind --di near/di.wav --recorded near/settings/00-recorded-through.ttl --seed order-31 -o letter.html --key letter.key split/01-tap.ttl split/02-resistor.ttl
cat <<'PAGE'
(`--seed` is for this page; without it the order comes from the system's random source.) The letter goes by mail and
plays in his browser; the key stays. He likes the tap, and says so but once, and reads the code over the telephone:

PAGE
answers=$(awk '$1 == "trial" { first = $3 == 1; if (++trial == 9) first = !first; printf "%d", first ? 1 : 2 }' letter.key)
code=$("$program" score letter.key "$answers" --journal - | sed -n 's/.*as a code, for the record: //p')
run score letter.key "$code"
cat <<'PAGE'
## Friday: the order goes out

The design is sealed, with what decided it, and printed:

PAGE
run seal split/01-tap.ttl --title 'Order 31' --decided letter.key --because 'the player preferred it to a resistor' --preset order-31.ttl -o order-31.seal
cat <<'PAGE'
`order-31.ttl` goes to the player: his plugin loads it as A, and its window says whether A is still what was sealed.

PAGE
run sheet order-31.seal -o order-31.pdf
printf '    $ coilwright sheet order-31.seal\n'
"$program" sheet order-31.seal | sed -n '/Turns of coil one/p; /Tap out/p; /Wire gauge/p; /^Readings/,/^$/p' | sed -e 's/^/    /' -e 's/ *$//'
cat <<'PAGE'

## Two weeks later: the first box

Ten pickups come back, each read three times on the bench:

PAGE
"$program" new -b split/01-tap.ttl --gauge 43 --split off -o wrong.ttl --journal - >/dev/null
"$program" seal wrong.ttl --status draft -o wrong.seal --journal - >/dev/null
readings wrong.seal 10 >first.csv
printf '    $ head -n 3 first.csv\n'
head -n 3 first.csv | sed 's/^/    /'
echo
run inspect order-31.seal first.csv --database coils.db --spool 'S 7' --plot first.svg
cat <<'PAGE'
The winder had taken the thinner wire (43 instead of 42, which is 12 % thinner). Nobody has to guess, and nobody has to
unwind a coil to know.

## The second box, and what it teaches

PAGE
"$program" new -b split/01-tap.ttl --split off --inductance-cal 103 --resistance-cal 99 -o wound.ttl --journal - >/dev/null
"$program" seal wound.ttl --status draft -o wound.seal --journal - >/dev/null
readings wound.seal 12 >second.csv
run inspect order-31.seal second.csv --database coils.db --spool 'S 8' --next order-31-b.ttl
cat <<'PAGE'
These are right. Where the model was a little off, the next revision knows better: its figures are those of real coils,
and its limits, from now on, of the coils as wound.

PAGE
run seal order-31-b.ttl --title 'Order 31' --before order-31.seal --because 'calibrated on the second box' -o order-31-b.seal
run diff order-31.seal order-31-b.seal
cat <<'PAGE'
## Five years later

PAGE
run verify order-31-b.seal order-31-b.ttl --before order-31.seal
run journal --verify
run history coils.db --by spool
run backup --database coils.db --journal order-31.log --output saved
cat <<'PAGE'
A seal beside its design, and a chain beside its entries, prove nothing against one who edits both: hold them against
the fingerprint on the sheet that the winder has (`verify --fingerprint`), and journal and readings against a number and
a head that were printed (`journal` and `history`, `--count --head`). [handing-over.md](handing-over.md) tells what each is good for.
PAGE
