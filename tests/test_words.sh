#!/bin/bash
# SPDX-License-Identifier: ISC
# The command line as people write it: help that fits, words, units, near misses.
. tests/support/counts.sh
program=$CW_PROGRAM
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$(dirname "$0")/.." || exit 1
case $program in /*) ;; *) program=$PWD/$program ;; esac

new() { "$program" new -f -o "$scratch/x.ttl" "$@" >"$scratch/out" 2>"$scratch/err"; }
value() { tr -d '\n\t' <"$scratch/x.ttl" | sed -n "s/.*lv2:symbol \"a_$1\" ;pset:value \([-0-9.e+]*\).*/\1/p"; }

# ---- help ----
"$program" --help >"$scratch/help"
commands=$(sed -n 's/^  \([a-z]*\) .*/\1/p' "$scratch/help")
check 'the list of commands' test "$(wc -w <<<"$commands")" -ge 6
for command in '' $commands; do
    # shellcheck disable=SC2086 # no command is no word
    widest=$("$program" $command --help | python3 -c 'import sys; print(max(len(l.rstrip("\n")) for l in sys.stdin.buffer.read().decode().splitlines()))')
    check "'$command --help' takes $widest columns" test "$widest" -le 80
done
check 'commands are under headings' test "$(grep -c '^[A-Z][^:]*:$' "$scratch/help")" -ge 3
check 'options are under headings' test "$("$program" new --help | grep -c '^[A-Z][a-z ]*:$')" -ge 7

# ---- values ----
taken() { # SYMBOL VALUE OPTION...
    symbol=$1 want=$2
    shift 2
    new "$@"
    status=$?
    check "new $*: $(cat "$scratch/err")" test $status = 0
    found=$(value "$symbol")
    check "new $*: $symbol is $found, expected $want" awk -v a="$found" -v b="$want" 'BEGIN { d = a - b; exit !(a != "" && d * d <= 1e-10 * b * b) }'
}
taken magnet 3 --magnet alnico5
taken coils 1 --coils series
taken coils 2 --coils two_in_parallel --turns 3000
taken gauge 43 --gauge 43AWG
taken gauge 43 --gauge 'AWG 43'
taken turns 5000 --turns 5,000
taken cable_length 6.5 --cable-length '6,5 m'
taken resistance 8.2 --resistance 8,2k
taken resistance 8.2 --resistance 8k2
taken volume_pot 250 --volume_pot=250k
taken gauge 42 --gauge 0.0635mm
check 'wire by its diameter is said' grep -q -- '--gauge: 0.0635 mm of bare wire is taken as AWG 42' "$scratch/err"

refused() { # PATTERN ARGUMENT...
    pattern=$1
    shift
    "$program" "$@" >"$scratch/out" 2>"$scratch/err"
    got=$?
    check "$*: status $got, expected 2" test $got = 2
    check "$*: says '$(cat "$scratch/err")'" grep -qF -- "$pattern" "$scratch/err"
    check "$*: more than a line" test "$(wc -l <"$scratch/err")" = 1
}
x=$scratch/y.ttl
refused 'Two in series or Two in parallel?' new -o "$x" --coils 2
refused 'One?' new -o "$x" --coils 1
refused 'Alnico 5?' new -o "$x" --magnet 5
refused 'Beeswax?' new -o "$x" --potting beeswx
refused 'did you mean --cable-length?' new -o "$x" --cabel-lenght 3
refused "did you mean 'compare'?" comapre
refused 'ambiguous option --split-c: --split-capacitor, --split-coil' new -o "$x" --split-c 3
full=presets/job-12-full.ttl
refused "did you mean 'cable_length'?" response "$full" --set cable_lenght=3
refused 'Two in series or Two in parallel?' response "$full" --set coils=2
refused "did you mean 'capacitor'?" split "$full" --level 75% --by capacitr
refused '75% or -2.5dB' split "$full" --level 0.75
refused '75% or -2.5dB' split "$full" --level -3
check 'nothing is written' test ! -e "$x"

# ---- the same names and values in --set and options ----
same() { # what two commands print
    check "$1" test "$2" = "$3"
}
by_dash=$("$program" response --summary --csv "$full" --set cable-length=6,5m)
same '--set with a dash' "$by_dash" "$("$program" response --summary --csv "$full" --set cable_length=6.5)"
same 'a decimal comma in a variant' "$("$program" compare --csv "$full" -v cable_length=6,5,tone=3,5 | tail -n 1 | cut -d, -f4-)" \
    "$("$program" compare --csv "$full" -v cable_length=6.5,tone=3.5 | tail -n 1 | cut -d, -f4-)"
same '75 is 75 %' "$("$program" split "$full" --level 75 --by tap --csv)" "$("$program" split "$full" --level 75% --by tap --csv)"

# ---- how many coils there are, and their wire ----
new --turns 5000 --coils series
check 'two coils are told, with the wire of both' grep -q 'two coils in series; each coil 5000 turns' "$scratch/out"
metres=$(tr '\n' ' ' <"$scratch/out" | sed 's/  */ /g')
each=$(sed 's/.* deep, \([0-9]*\) m of wire.*/\1/' <<<"$metres") all=$(sed 's/.*in all \([0-9]*\) m,.*/\1/' <<<"$metres")
check "wire in all: $each and $all" test $((2 * each - all)) -ge -1 -a $((2 * each - all)) -le 1
# ---- tables keep to 100 columns, or are asked to be wide ----
widest() { python3 -c 'import sys; print(max(len(l.rstrip("\n")) for l in sys.stdin.buffer.read().decode().splitlines()))'; }
narrow() { # WHAT COMMAND...
    what=$1
    shift
    columns=$("$program" "$@" 2>/dev/null | widest)
    check "$what takes $columns columns" test "$columns" -le 100
}
dual=presets/winding-order-21.ttl
narrow compare compare "$dual" "$full" -v gauge=43 -v gauge=43,turns=6700,insulation=heavy,potting=none -v cable_length=10 -v volume=0 -v gauge=40 -v inductance=2
narrow split split "$full" --level 75
narrow response response "$dual" "$full" presets/job-12-*.ttl
narrow leads response --leads "$dual" "$full"
columns=$("$program" response --leads --wide "$dual" | widest)
check "--wide takes $columns columns" test "$columns" -gt 100
"$program" compare "$dual" -v gauge=40 -v gauge=43 >"$scratch/out" 2>"$scratch/err"
check 'a variant that does not fit ends it' test $? = 0
check 'a variant that does not fit is no row' grep -q 'AWG 40.* does not fit$' "$scratch/out"
check 'nor says it what would fit' grep -q '^2: does not fit: 5000 turns of AWG 40: [0-9]* would fit$' "$scratch/out"
check 'what fits is compared all the same' grep -q 'AWG 43 .* dB ' "$scratch/out"
"$program" compare "$dual" -v gauge=43 --against 2 >"$scratch/out"
forth=$("$program" compare --csv "$dual" -v gauge=43 | tail -n 1 | cut -d, -f17)
back=$("$program" compare --csv "$dual" -v gauge=43 --against 2 | sed -n 2p | cut -d, -f17)
check "against the second: level $back, forth $forth" awk -v a="$forth" -v b="$back" 'BEGIN { d = a + b; exit !(a != 0 && d * d < 1e-10) }'
refused 'expected one of the 2 candidates, found 3' compare "$dual" -v gauge=43 --against 3
check 'remains of arithmetic in CSV' bash -c "! '$program' compare --csv presets/job-12-full.ttl -v tone=9 -v cable_length=3 | grep -E ',-?[0-9.]+e-1[3-9]'"

# ---- the sheet for a recording, and the check of one ----
"$program" take >"$scratch/sheet"
check 'the sheet fails' test $? = 0
check 'the sheet is too wide' test -z "$(awk 'length > 80' "$scratch/sheet")"
for word in 'Volume and tone fully up' 'Hi-Z' '24 bits' '48000' 'highest peak 6 to 12 dB' 'Cable: ___' 'headphones\|Headphones'; do
    check "the sheet lacks: $word" grep -q -- "$word" "$scratch/sheet"
done
# The command that it ends with, its blanks filled in, is one.
filled=$(sed -n '/new --as rec/,/[^\\]$/p' "$scratch/sheet" | tr -d '\\\n' | sed -e 's/coils __/coils one/' -e 's/length __/length 4,5/' \
    -e 's/pot __/pot 250/g' -e 's/cap __/cap 22/' -e 's/resistance __M/resistance 1M/' -e 's/__k/6k2/' -e 's/__H/2.5H/' -e 's/ *coilwright//')
# shellcheck disable=SC2086 # the words of a command line
check "the sheet's command: $filled" bash -c "cd '$scratch' && '$program' $filled"
check 'and it writes what a recording went through' grep -q '"rec_cable_length"' "$scratch/player.ttl"

python3 - "$scratch" <<'PY'
import math, random, struct, sys, wave
def write(name, level, rate=48000, seconds=12, hum=0.0):
    random.seed(1)
    out = bytearray()
    for i in range(rate * seconds):
        t = i / rate
        x = 3e-4 * random.uniform(-1, 1) + hum * math.sin(2 * math.pi * 50 * t)
        x += level * math.sin(2 * math.pi * 330 * t) if t > 2 else 0
        out += struct.pack("<h", round(32767 * max(-1, min(1, x))))
    with wave.open(f"{sys.argv[1]}/{name}.wav", "wb") as f:
        f.setnchannels(1); f.setsampwidth(2); f.setframerate(rate); f.writeframes(bytes(out))
write("good", 0.3)
write("hot", 1.5)
write("hum", 0.3, hum=0.03)
write("low", 0.3, rate=16000)
PY
check "a good take: $("$program" take "$scratch/good.wav")" "$program" take "$scratch/good.wav" >/dev/null
trouble() { # FILE WHAT
    "$program" take "$scratch/$1.wav" >"$scratch/out"
    got=$?
    check "$1: status $got" test $got = 1
    check "$1: $(cat "$scratch/out")" grep -q "$2" "$scratch/out"
}
trouble hot 'Cut off at full scale: [0-9]* samples at [0-9]* places'
trouble hum 'Mains hum of 50 Hz, 20 dB under the playing'
trouble low 'Sample rate of 16000 Hz: nothing above 8.00 kHz'
refused '--channel is of a recording' take --channel 1
counts_done
