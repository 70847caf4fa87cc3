#!/bin/bash
# SPDX-License-Identifier: ISC
# The program at the command line: help, bad usage, bad files, outputs that fail. Every message is
# one line that names the place and what was expected; the exit status is right; nothing is left
# half-written.
. tests/support/counts.sh
coilwright=$(realpath "$CW_PROGRAM")
presets=$(realpath presets)
bundle=$(realpath "$CW_BUNDLE")
manual=$(realpath docs/coilwright.1)
readme=$(realpath README.md)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$scratch" || exit 1

# refused STATUS TEXT ARGUMENTS...: the program ends with STATUS, prints nothing, says one line that
# begins 'coilwright' and holds TEXT, and leaves the directory as it was.
refused() {
    status=$1
    text=$2
    shift 2
    before=$(ls -A | sort)
    timeout 20 "$coilwright" "$@" >"$scratch/.out" 2>"$scratch/.err" </dev/null
    got=$?
    lines=$(wc -l <.err)
    message=$(cat .err)
    printed=$(wc -c <.out)
    rm -f .out .err
    if [ $got != "$status" ]; then
        fail "coilwright $*: exit status $got, not $status: $message"
    elif [ "$lines" != 1 ] || [[ $message != coilwright:\ * ]]; then
        fail "coilwright $*: not one line: $message"
    elif [[ $message != *"$text"* ]]; then
        fail "coilwright $*: '$text' is not in: $message"
    elif [ "$printed" != 0 ]; then
        fail "coilwright $*: printed something though it failed"
    elif [ "$before" != "$(ls -A | sort)" ]; then
        fail "coilwright $*: left something behind: $(ls -A)"
    else
        echo "$message"
        pass
    fi
}

# works TEXT ARGUMENTS...: exit status 0, nothing on standard error, TEXT in the output.
works() {
    text=$1
    shift
    printed=$(timeout 20 "$coilwright" "$@" 2>.err </dev/null)
    got=$?
    message=$(cat .err)
    rm -f .err
    if [ $got != 0 ] || [ -n "$message" ]; then
        fail "coilwright $*: exit status $got: $message"
    elif [[ $printed != *"$text"* ]]; then
        fail "coilwright $*: '$text' is not in what it printed"
    else
        pass
    fi
}

# --- help and usage
works 'Usage: coilwright COMMAND' --help
works 'Usage: coilwright COMMAND' -h
works 'coilwright ' --version
commands=$("$coilwright" --help | sed -n 's/^  \([a-z]*\)  .*/\1/p')
check 'no commands are listed' test "$(wc -w <<<"$commands")" -ge 2
for command in $commands; do
    works "Usage: coilwright $command" "$command" --help
    check "$command has no place in the manual page" grep -qx "\.Ss $command" "$manual"
    refused 2 'unknown option --nonsense' "$command" --nonsense
    check "$command is not in the table of the README" grep -q "^| .*\`$command\`.* | " "$readme"
    check "--help $command is not its help" cmp -s <("$coilwright" "$command" --help) <("$coilwright" --help "$command")
    # a range in the help is the one that holds
    "$coilwright" $command --help | awk '/^ *(-., )?--/ { print t; t = $0; next } { sub(/^ */, " "); t = t $0 } END { print t }' |
        sed -n 's/^.*--\([a-z-]*\) N  .*[ ,]\([0-9]* to [0-9]*\)[,; ].*/\1 \2/p' >ranges
    while read -r option range; do
        refused 2 "$range" "$command" --$option 99999999999
    done <ranges
done
# What the help lists, the manual page tells.
for command in $commands; do
    # The controls are options of `new`; they have their own table.
    for option in $("$coilwright" $command --help | sed -n -e '/--coil-from/q' -e 's/^  \(-.,\|   \) --\([a-z0-9-]*\).*/\2/p'); do
        check "--$option of $command is not in the manual page" \
            grep -q "Fl Fl $option\>" <(sed -n -e '1,/^\.Sh COMMANDS/p' -e "/^\.Ss $command$/,/^\.S[sh]/p" "$manual")
    done
done
if need mandoc 'the manual page is not checked'; then
    check "the manual page: $(mandoc -Tlint "$manual")" mandoc -Tlint -Wstyle "$manual"
fi
refused 2 'expected a command, found nothing'
refused 2 "expected a command, found 'respond'" respond
refused 2 "expected a command, found '--loud'" --loud
refused 2 'expected at least one FILE' response
refused 2 'unknown option --plots-to' response --plots-to x
refused 2 'unknown option -z' response -z
refused 2 'ambiguous option --p' response --p
refused 2 '--csv takes no value' response --csv=yes
refused 2 'expected FILE after it' response x.ttl --plot
refused 2 '.svg, .png or .pdf' response x.ttl --plot x.jpg
refused 2 'whole number from 2' response x.ttl --points many
refused 2 'whole number from 2' response x.ttl --points 1
refused 2 'frequency from 0.01' response x.ttl --from -3
refused 2 'expected --from below --to' response x.ttl --from 3k --to 1k
refused 2 "found '1q'" response x.ttl --at 100,1q
refused 2 '--at and --points' response x.ttl --at 100 --points 5
refused 2 '--impedance and --recorded' response x.ttl --impedance --recorded y.ttl
refused 2 'WIDTHxHEIGHT' response x.ttl --size big
refused 2 'expected SYMBOL=VALUE' response x.ttl --set tone
refused 2 "found 'loudness'" response x.ttl --set loudness=3
refused 2 'from 0 to 10, found 11' response x.ttl --set tone=11
refused 2 'expected a FILE, found none' impulse
for pair in 'response listen=candidate-a' 'response boost_limit=9' 'impulse mains=60' 'compare mains=60' 'split trim=3' 'audition level_match=on'; do
    global=${pair#* }
    refused 2 "${global%=*} has no effect in this command" ${pair% *} x.ttl --set "$global"
done
refused 2 'expected one FILE' impulse x.ttl y.ttl
refused 2 'from 8000 to 384000' impulse x.ttl --rate 4000
refused 2 'from 8000 to 384000' impulse x.ttl --rate 48000.5
refused 2 'from 0 to 60 dB' impulse x.ttl --boost-limit 90
refused 2 'needs one' impulse x.ttl -o -
works 'Usage: coilwright response' response x.ttl --help
works '1000 ' response --at=1k "$presets/bright-coil.ttl"
works '1000 ' response "$presets/bright-coil.ttl" --impe --at 1k

# --- bad preset files
head='@prefix lv2: <http://lv2plug.in/ns/lv2core#> .
@prefix pset: <http://lv2plug.in/ns/ext/presets#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
<> a pset:Preset ; lv2:appliesTo <urn:coilwright:voicing> ; rdfs:label "Test" ;'
port() { echo "$head lv2:port [ lv2:symbol \"$1\" ; pset:value $2 ] ."; }
bad() { refused 1 "$@"; }

bad 'missing.ttl: cannot read' response missing.ttl
: >empty.ttl
bad 'empty.ttl: expected an LV2 preset in Turtle, found an empty file' response empty.ttl
head -c 5000 /dev/urandom >binary.ttl
bad 'binary.ttl:' response binary.ttl
printf 'some text\0with a zero' >zero.ttl
bad 'zero.ttl:1: expected an LV2 preset in Turtle, found binary data' response zero.ttl
yes '# a comment' | head -c 3000000 >huge.ttl
bad 'huge.ttl: expected an LV2 preset in Turtle of at most 1024 KiB' response huge.ttl
bad 'expected a preset file or a bundle with one preset' response .
head -c 300 "$presets/bright-coil.ttl" >truncated.ttl
bad 'truncated.ttl:' response truncated.ttl
port a_tone 5 | sed '$s/ \.$//' >unended.ttl
bad 'unended.ttl:' response unended.ttl
{ port a_tone 5; echo 'this is no Turtle'; } >broken.ttl
bad 'broken.ttl:5:' response broken.ttl
printf '%s\n' "$head" 'lv2:port [ lv2:symbol "a_tone" ; pset:value 5 ] ,' '[ lv2:symbol "a_tune" ; pset:value 5 ] .' >symbol.ttl
bad "symbol.ttl:6: expected the symbol of a control input" response symbol.ttl
port resonance 5 >output.ttl
bad "found 'resonance'" response output.ttl
port a_inductance 50 >range.ttl
bad 'range.ttl:4: a_inductance: expected a value from 0.2 to 20 H, found 50' response range.ttl
port a_volume -0.1 >negative.ttl
bad 'a_volume: expected a value from 0 to 10' response negative.ttl
port a_coils 1.5 >list.ttl
bad 'a_coils: expected one of 0 (One), 1 (Two in series)' response list.ttl
port a_split 7 >toggle.ttl
bad 'a_split: expected 0 or 1' response toggle.ttl
for value in '"five"' '<urn:five>' 'true' '"NaN"^^<http://www.w3.org/2001/XMLSchema#float>' '"5 k"^^<http://www.w3.org/2001/XMLSchema#float>'; do
    port a_tone "$value" >type.ttl
    bad 'type.ttl:4: a_tone: expected a number' response type.ttl
done
port a_tone 5 | sed 's/urn:coilwright:voicing/urn:other:plugin/' >other.ttl
bad 'found <urn:other:plugin>' response other.ttl
port a_tone 5 | sed 's/lv2:appliesTo <[^>]*> ;//' >nobody.ttl
bad 'expected a preset with lv2:appliesTo' response nobody.ttl
{ port a_tone 5; port a_tone 6 | tail -n 1 | sed 's/<>/<second>/'; } >two.ttl
bad 'two.ttl:5: expected one preset in the file' response two.ttl
port boost_limit 12 >global.ttl
bad 'expected a preset that sets ports of a setup' response global.ttl
echo "$head lv2:port [ lv2:symbol \"a_tone\" ; pset:value 5 ] , [ lv2:symbol \"a_tone\" ; pset:value 6 ] ." >twice.ttl
bad "expected each port once, found 'a_tone' again" response twice.ttl
echo "$head lv2:port [ pset:value 5 ] ." >nameless.ttl
bad 'expected lv2:symbol' response nameless.ttl
echo "$head lv2:port [ lv2:symbol \"a_tone\" ] ." >valueless.ttl
bad 'a_tone: expected pset:value' response valueless.ttl
echo '<a> <b> <c> .' >nothing.ttl
bad 'expected an LV2 preset (a pset:Preset), found none' response nothing.ttl
{ echo "$head lv2:port "; head -c 200000 /dev/zero | tr '\0' '['; } >deep.ttl
bad 'brackets' response deep.ttl
echo "$head rdfs:comment \"$(printf '(%.0s' $(seq 251))\" ; lv2:port [ lv2:symbol \"a_tone\" ; pset:value 5 ] ." >brackets.ttl
bad 'expected a comment with at most 250 opening brackets, found 251' response brackets.ttl
bad 'expected a comment of at most 100000 bytes' new --comment "$(head -c 100001 /dev/zero | tr '\0' x)" -o long.ttl
printf '@prefix a: <urn:a> .\na:b a:c "\xff\xfe" .\n' >utf8.ttl
bad 'utf8.ttl:2:' response utf8.ttl
"$coilwright" new -o good.ttl --label Test --tone 5 >.out && rm .out
bad '#a, #b or #rec' response 'good.ttl#c'
bad 'expected a preset that sets b_ ports' response 'good.ttl#b'
bad 'expected one candidate, found a comparison' impulse "$presets/compare-cables.ttl"
bad 'range.ttl:4:' impulse range.ttl
bad 'range.ttl:4:' response good.ttl --recorded range.ttl
bad 'missing.ttl' response good.ttl missing.ttl --plot x.png
mkfifo pipe.ttl 2>/dev/null && { (cat good.ttl >pipe.ttl) & works 'Test' response --at 1k pipe.ttl; wait; rm -f pipe.ttl; }
many=$(for i in $(seq 65); do echo good.ttl; done)
bad 'at most 64 candidates' response $many
works '64' response --summary $(echo $many | cut -d' ' -f1-64)
cp good.ttl "$(printf 'new\nline.ttl')"
refused 1 'new<U+000A>line.ttl#c' response "$(printf 'new\nline.ttl#c')"
works 'Test' response --at 1k "$(printf 'new\nline.ttl')"
cp good.ttl -- -dash.ttl
works 'Test' response --at 1k -- -dash.ttl
# A byte changed anywhere never crashes the reader: one line where it is refused, and at most one where it is not (a
# control that a new # hides is told).
wrong=0
for i in $(seq 150); do
    cp "$presets/bright-coil.ttl" mutant.ttl
    printf "\\x$(printf %02x $((RANDOM % 256)))" | dd of=mutant.ttl bs=1 seek=$((RANDOM % 2000)) conv=notrunc 2>/dev/null
    timeout 10 "$coilwright" response --at 1k mutant.ttl >/dev/null 2>.err
    got=$?
    lines=$(wc -l <.err)
    { [ $got = 1 ] && [ "$lines" = 1 ]; } || { [ $got = 0 ] && [ "$lines" -le 1 ]; } || { wrong=$((wrong + 1)); cat .err; }
done
check "$wrong of 150 changed files were not handled" test $wrong = 0
rm -f mutant.ttl .err

# --- outputs
works '' response good.ttl --plot plot.svg
works '' response good.ttl --plot plot.png
works '' response good.ttl --plot plot.pdf
check 'the SVG is none' grep -q '<svg' plot.svg
check 'the PNG is none' test "$(head -c 4 plot.png | od -An -tx1)" = ' 89 50 4e 47'
check 'the PDF is none' test "$(head -c 5 plot.pdf)" = %PDF-
check 'files are for the owner only' test "$(stat -c %a plot.svg)" = "$(printf %o $((0666 & ~$(umask))))"
cp plot.svg before.svg
refused 1 'plot.svg: is there already' response good.ttl --plot plot.svg
check 'a refused output changed the file' cmp -s plot.svg before.svg
works '' response good.ttl --plot plot.svg --force
check 'the same plot twice differs' cmp -s plot.svg before.svg
works '' response good.ttl --plot plot2.pdf
check 'the same PDF twice differs' cmp -s plot.pdf plot2.pdf
mkdir dir
refused 1 'found a directory' response good.ttl -o dir
refused 1 'cannot write here' response good.ttl -o nowhere/table.txt
refused 1 'cannot write here' impulse good.ttl -o nowhere/x.wav
works 'samples at 48000 Hz' impulse good.ttl
check 'no good.wav' test -s good.wav
refused 1 'good.wav: is there already' impulse good.ttl
works '' new -o named.lv2
works 'samples at 48000 Hz' impulse ./named.lv2/
check 'no named.wav' test -s named.wav
works 'samples at 48000 Hz' impulse "$presets/compare-cables.ttl#b"
check 'no compare-cables-b.wav' test -s compare-cables-b.wav
works 'divided out only where --recorded names' response --help
if [ -e /dev/full ]; then
    refused 1 'No space left' response good.ttl -o /dev/full
    for kind in svg png pdf; do
        ln -s /dev/full full.$kind
        refused 1 'No space left' response good.ttl --plot full.$kind
    done
    for arguments in 'response good.ttl' 'impulse --help' --help --version; do
        "$coilwright" $arguments >/dev/full 2>.err
        got=$?
        check "a full standard output under '$arguments': $got $(cat .err)" test $got = 1 -a "$(wc -l <.err)" = 1
    done
fi
(ulimit -f 8; "$coilwright" impulse good.ttl --length 1000000 -o big.wav 2>.err; echo $? >.status)
check "a file size limit is not seen: $(cat .status) $(cat .err)" test "$(cat .status)" != 0
check 'a file that grew too big was left' test ! -e big.wav
check 'a temporary file was left' test -z "$(compgen -G '.coilwright-*')"
rm -f .status
"$coilwright" response good.ttl --points 100000 2>.err | head -n 1 >/dev/null
got=${PIPESTATUS[0]}
check "a broken pipe: $got $(cat .err)" test $got = 1 -a "$(wc -l <.err)" = 1
if [ "$(id -u)" != 0 ]; then
    mkdir closed && chmod 500 closed
    refused 1 'cannot write here' response good.ttl -o closed/table.txt
fi
# --- saved presets as a host's validator sees them
if need lv2_validate 'presets written here are not validated'; then
    report=$(lv2_validate "$bundle"/*.ttl good.ttl 2>&1)
    check "the test's own preset: $(tail -n 2 <<<"$report")" grep -q '^Found 0 errors' <<<"$report"
fi

# --- memory
if need valgrind 'the program is not run under it'; then
    clean() {
        valgrind -q --error-exitcode=9 --leak-check=full --errors-for-leak-kinds=definite --suppressions="$scratch/supp" \
            "$coilwright" "$@" >/dev/null 2>.err
        [ $? != 9 ] || { head -n 30 .err; false; }
    }
    cat >supp <<'S'
{
   fontconfig keeps its caches
   Memcheck:Leak
   ...
   obj:*libfontconfig*
}
S
    check 'valgrind: response' clean response "$presets"/compare-*.ttl --phase --plot v.png --recorded "$presets/dark-coil.ttl"
    check 'valgrind: CSV' clean response good.ttl --csv --impedance --points 50
    check 'valgrind: impulse' clean impulse good.ttl -f --length 1000 -o v.wav
    for file in symbol broken utf8 deep two range; do
        check "valgrind: $file.ttl" clean response $file.ttl
    done
    check 'valgrind: bad usage' clean response good.ttl --set tone=2 --set tone=x
fi
cd "$OLDPWD" || exit 1
counts_done
