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
    check "new $*: $(cat "$scratch/err")" test $? = 0
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
counts_done
