#!/bin/bash
# SPDX-License-Identifier: ISC
# Labels that want to act or to hide, through every command and format: what comes out is UTF-8 without controls, in as
# many rows as for a plain label, and no cell or page takes a part of it for its own.
. tests/support/counts.sh
coilwright=$(realpath "$CW_PROGRAM")
presets=$(realpath presets)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$scratch" || exit 1

# The plain one and the hostile ones: in Turtle, where \u stands for any character.
labels=(
    'Plain label'
    '\u001b[8mfigures\u001b[0m\u001b]0;title\u0007'
    'One\nTwo,     9.9 kHz\r\n3'
    '\u009b31mred\u0085next\u2028line'
    'left \u202eright\u2066x\u2069 \u200b\ufeff'
    '=cmd|\u0027/c calc\u0027!A0'
    '+1+2' '-1+2' '@SUM(A1)' '\t=1+1'
    'a | b | [go](http://example.org) ![x](y) <b>bold</b> `c` *d*'
    '</script><script>alert(1)</script><img src=x onerror=alert(2)>'
    '\u0022,\u0022x\u0022\u0022,1'
)
clean() { # FILE: no control but the end of a line, C1, separator or mark of direction; UTF-8
    iconv -f UTF-8 -t UTF-32LE "$1" >wide 2>/dev/null || return 1
    od -An -v -tx4 -w4 wide | awk '
        { c = strtonum("0x" $1) }
        c == 10 || (c == 13 && CR) { next }
        c < 32 || (c >= 127 && c < 160) || (c >= 8232 && c <= 8238) || (c >= 8294 && c <= 8297) || c == 8203 || c == 65279 { bad++ }
        END { exit bad > 0 }' CR="${2:-0}"
}
awk 'BEGIN { exit strtonum("0x10") != 16 }' 2>/dev/null || clean() { iconv -f UTF-8 -t UTF-8 "$1" >/dev/null && ! LC_ALL=C grep -q -a -e $'[\x01-\x08\x0b\x0c\x0e-\x1f\x7f]' -e $'\xe2\x80[\xa8-\xae]' -e $'\xc2[\x80-\x9f]' "$1"; }

ports=$(sed -n '/lv2:port/,$p' "$presets/job-12-full.ttl")
"$coilwright" new -b "$presets/job-12-full.ttl" -o plain.ttl --label LABEL >/dev/null || fail "no preset: $ports"
"$coilwright" impulse plain.ttl --rate 24000 --length 24000 -o di.wav >/dev/null
commands=(
    'response x.ttl other.ttl --wide' 'response x.ttl --csv' 'response --leads x.ttl --wide' 'response --leads x.ttl --csv'
    'response --leads x.ttl --wide --set coil_from=winding --set turns=15000' 'compare other.ttl x.ttl --wide' 'compare other.ttl x.ttl --csv'
    'compare x.ttl other.ttl --markdown' 'split x.ttl --level 75% --by tap' 'split x.ttl --level 75% --by tap --csv'
    'new -b x.ttl -o made.ttl --force' 'audition x.ttl other.ttl --di di.wav --recorded x.ttl -o heard --force'
    'split x.ttl --level 75% --by tap -o parts --force' 'response x.ttl --plot x.svg -f')
cp plain.ttl other.ttl
declare -A rows
number=0
for label in "${labels[@]}"; do
    LABEL=$label awk '{ i = index($0, "\"LABEL\""); if (i) print substr($0, 1, i) ENVIRON["LABEL"] substr($0, i + 6); else print }' plain.ttl >x.ttl
    for command in "${commands[@]}"; do
        # shellcheck disable=SC2086 # the words of the command
        "$coilwright" $command >said 2>errors </dev/null
        status=$?
        check "$command with '$label': status $status, $(head -n 1 errors)" test $status = 0
        case $command in *--csv*) cr=1 ;; *) cr=0 ;; esac
        check "$command shows '$label' raw" clean said $cr
        check "$command says '$label' raw" clean errors
        [ $number = 0 ] && rows[$command]=$(wc -l <said)
        check "$command with '$label': $(wc -l <said) rows, ${rows[$command]} with a plain one" test "$(wc -l <said)" = "${rows[$command]}"
        case $command in
        *--csv*) check "$command: a formula of '$label'" bash -c '! grep -q -E "(^|,)\"?[[:space:]]*(=|@|[-+][^0-9.i,])" said' ;;
        *--markdown*)
            check "$command: cells of '$label'" test "$(sed 's/\\|//g' said | grep '^|' | tr -cd '|\n' | sort -u | wc -l)" = 1
            check "$command: a link or markup of '$label'" bash -c '! sed "s/\\\\[][!|*\`_]//g" said | grep -q -e "\](" -e "<[a-z/]"' ;;
        esac
    done
    # What was written to files.
    for file in heard/results.csv heard/index.html parts/split.csv x.svg parts/response.svg parts/[0-9]*.svg; do
        case $file in *.csv) cr=1 ;; *) cr=0 ;; esac
        [ -e "$file" ] || { fail "$file was not written for '$label'"; continue; }
        # A style sheet or script of ours may be indented by tabs; labels are not.
        tr -d '\t' <"$file" >copy
        check "$file holds '$label' raw" clean copy $cr
    done
    check "results.csv: rows of '$label'" test "$(wc -l <heard/results.csv)" = 4
    check "index.html: an element of '$label'" bash -c '! grep -q -e "<img src=x" -e "<script>alert" heard/index.html'
    if command -v python3 >/dev/null; then
        check "results.csv: another reader of CSV finds other columns for '$label'" python3 -c '
import csv, sys
rows = list(csv.reader(open("heard/results.csv", newline="", encoding="utf-8")))
sys.exit(len({len(r) for r in rows}) != 1 or any(c[:1] in "=@\t\r" and c for r in rows for c in r))'
    fi
    number=$((number + 1))
done

# An address on the terminal can be followed whatever the directory is called.
mkdir 'a b#?'
"$coilwright" audition plain.ttl --di di.wav -o "a b#?/ü" >said
check 'the address of the page is encoded' grep -q 'file:///.*/a%20b%23%3F/%C3%BC/index.html$' said
# On a terminal of 80 columns no rest of a name stands where a row begins.
long="Mine$(printf ' %.0s' {1..73})2  Theirs         5.80 kΩ      9.99 H"
sed "s/\"LABEL\"/\"$long\"/" plain.ttl >x.ttl
for command in 'response x.ttl' 'response --leads x.ttl' 'compare x.ttl x.ttl'; do
    # shellcheck disable=SC2086 # the words of the command
    check "$command: a row of a name" bash -c '! fold -w 80 | grep -q "^2  Theirs"' < <("$coilwright" $command 2>/dev/null)
done
# Hangul takes two cells: 38 of them, a letter and what stands before them fill such a line.
wide="$(printf '가%.0s' {1..38})x2  Theirs  5.80 kΩ"
sed "s/\"LABEL\"/\"$wide\"/" plain.ttl >wide.ttl
for command in 'response wide.ttl' 'response --leads wide.ttl' 'compare wide.ttl wide.ttl'; do
    # shellcheck disable=SC2086 # the words of the command
    check "$command: a row of a wide name" bash -c '! sed "s/가/##/g" | fold -w 80 | grep -q "^2  Theirs"' < <("$coilwright" $command 2>/dev/null)
done
check 'all of a long name is there' bash -c '"$0" response --leads x.ttl 2>/dev/null | grep -q "9.99 H"' "$coilwright"
counts_done
