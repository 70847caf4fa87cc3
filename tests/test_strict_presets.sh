#!/bin/bash
# SPDX-License-Identifier: ISC
# Presets that can be read in two ways are refused in one line with the place, and labels are whole or cut where it
# is seen.
. tests/support/counts.sh
coilwright=$(realpath "$CW_PROGRAM")
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$scratch" || exit 1

# preset FILE LABEL-PART PORT: line 5 has the label, line 6 the port
preset() {
    printf '%s\n' '@prefix lv2: <http://lv2plug.in/ns/lv2core#> .' '@prefix pset: <http://lv2plug.in/ns/ext/presets#> .' \
        '@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .' '<> a pset:Preset ; lv2:appliesTo <urn:coilwright:voicing> ;' \
        "$2" "lv2:port [ $3 ] ." >"$1"
}
good_label='rdfs:label "Test" ;'
good_port='lv2:symbol "a_inductance" ; pset:value 3.6'

# refused LINE WORDS
refused() {
    "$coilwright" response --leads x.ttl >said 2>errors
    local status=$?
    check "expected status 1 and one line with 'x.ttl:$1: ... $2', found $status: $(cat errors)" \
        test $status = 1 -a "$(wc -l <errors)" = 1 -a ! -s said -a "$(grep -F "x.ttl:$1: " errors | grep -c -F -- "$2")" = 1
}

preset x.ttl "$good_label" "$good_port"
check 'the sound one is read' "$coilwright" response --leads x.ttl

# --- more than one of what there is one of
preset x.ttl "$good_label" 'lv2:symbol "a_inductance" ; pset:value 3,6'
refused 6 "a_inductance: expected one number as pset:value, found '3' and '6' (the decimal point is '.')"
preset x.ttl "$good_label" 'lv2:symbol "a_inductance" ; pset:value 3.6 ; pset:value 3.6'
refused 6 "found '3.6' and '3.6'"
preset x.ttl "$good_label" 'lv2:symbol "a_inductance" ; pset:value "3,6"^^<http://www.w3.org/2001/XMLSchema#decimal>'
refused 6 "found '3,6' (the decimal point is '.')"
# lilv reads 0, 0 and 3 (serd_strtod(), strtol())
for value in '"0x3"^^<http://www.w3.org/2001/XMLSchema#decimal>' '"0x1p1"^^<http://www.w3.org/2001/XMLSchema#float>' \
    '"3.6"^^<http://www.w3.org/2001/XMLSchema#integer>'; do
    preset x.ttl "$good_label" "lv2:symbol \"a_inductance\" ; pset:value $value"
    refused 6 'a_inductance: expected a number as pset:value'
done
preset x.ttl "$good_label" 'lv2:symbol "a_inductance", "a_volume" ; pset:value 3.6'
refused 6 "expected one lv2:symbol in each lv2:port, found 'a_inductance' and 'a_volume'"
preset x.ttl 'rdfs:label "One", "Two" ;' "$good_port"
refused 5 "expected one rdfs:label, found 'One' and 'Two'"
preset x.ttl 'rdfs:label "One"@en ; rdfs:label "Eins"@de ;' "$good_port"
refused 5 "expected one rdfs:label, found 'One' and 'Eins'"
preset x.ttl "$good_label"' rdfs:comment "One", "Two" ;' "$good_port"
refused 5 "expected one rdfs:comment"

# --- labels that are no text, or not all of it
preset x.ttl 'rdfs:label <http://example.org/label> ;' "$good_port"
refused 5 'expected a text in quotes as rdfs:label, found <http://example.org/label>'
preset x.ttl 'rdfs:label [ ] ;' "$good_port"
refused 5 'expected a text in quotes as rdfs:label, found the node '
preset x.ttl "$good_label"' rdfs:comment <urn:x> ;' "$good_port"
refused 5 'expected a text in quotes as rdfs:comment'
preset x.ttl 'rdfs:label "Full\u0000, DO NOT WIND" ;' "$good_port"
refused 5 'no character U+0000'
long=$(printf 'ü%.0s' $(seq 99))
preset x.ttl "rdfs:label \"$long.\" ;" "$good_port"
check 'a label of 199 bytes is read' "$coilwright" response --leads x.ttl
preset x.ttl "rdfs:label \"$long DO NOT WIND\" ;" "$good_port"
"$coilwright" response --leads x.ttl >said 2>errors
check "a longer label is refused whole: $(cat errors)" grep -q 'expected a label of at most 199 bytes, found 210' errors
"$coilwright" new -o y.ttl --label "$long DO NOT WIND" 2>errors >said
check 'and is not written' test $? = 1 -a ! -e y.ttl

# --- where something is added to a long label, or a file's name is one, the cut is between characters and seen
preset x.ttl "rdfs:label \"$long.\" ;" "$good_port ] , [ lv2:symbol \"a_split\" ; pset:value 1 ] , [ lv2:symbol \"b_volume\" ; pset:value 3"
"$coilwright" response --leads x.ttl >said
check 'side A of a long label' grep -q 'ü…, A' said
check 'is UTF-8' iconv -f UTF-8 -t UTF-8 -o copy said
preset "$(printf 'ü%.0s' $(seq 120)).ttl" '' "$good_port"
"$coilwright" response --leads ü*.ttl >said
check 'a long file name is cut where it is seen' grep -q 'ü…' said
check 'as UTF-8' iconv -f UTF-8 -t UTF-8 -o copy said

# --- settings as text, and what hosts find in the same bytes
settings=$(printf '%s\n' 'coilwright settings 1' 'name Nice' 'inductance 2 H' 'end 1')
printf '%s\n' 'Ann <ann@example.org> wrote, by hand:' "$settings" '-- "x" [y]' >mail
check 'settings in a message' "$coilwright" response --leads mail
printf '%s' "$settings" >plain
check 'settings without a last line end' "$coilwright" response --leads plain
# In Turtle's long strings a line is a line: hosts hear 9 H, and ours would have said 2.
preset x.ttl "rdfs:label \"Nice\" ; rdfs:comment \"\"\"
$settings
\"\"\" ;" "$(printf '%s' "$good_port" | sed 's/3.6/9/')"
sed -i 's/^@prefix \(.*\) \.$/PREFIX \1/' x.ttl
check 'a preset that holds settings is the preset' bash -c '"$0" response --leads x.ttl 2>errors | grep -q " 9.00 H"' "$coilwright"
# Behind what is no Turtle hosts read on.
{ echo "$settings"; cat x.ttl; } >y.ttl
check 'settings before a preset' bash -c '! "$0" response --leads y.ttl >said 2>errors && [ "$(wc -l <errors)" = 1 ] && grep -q "^coilwright: y.ttl:1: expected Turtle" errors' "$coilwright"
printf '%s\n\0\ninductance 9 H\n' "$settings" >zero
check 'a zero byte in settings' bash -c '! "$0" response --leads zero >said 2>errors && grep -q "found a zero byte" errors' "$coilwright"
printf '%s\n' "$settings" 'You had:' "$settings" >two
check 'two sets of settings' bash -c '! "$0" response --leads two >said 2>errors && grep -q "expected one set of settings" errors' "$coilwright"

# --- a bundle: hosts load what its manifest says
"$coilwright" new --inductance 3.6 -o b.lv2 >/dev/null
check 'a bundle' "$coilwright" response --leads b.lv2
mkdir b.lv2/more
for other in more/preset.ttl .preset.ttl ../b.ttl; do cp b.lv2/preset.ttl b.lv2/$other; done
cp b.lv2/manifest.ttl good
for change in 's,seeAlso <preset.ttl>,seeAlso <more/preset.ttl>,' 's,seeAlso <preset.ttl>,seeAlso <preset.ttl>\, <.preset.ttl>,' \
    's,seeAlso <preset.ttl>,seeAlso <%2e%2e/b.ttl>,' '$s/ \.$/ ; lv2:port [ lv2:symbol "a_inductance" ; pset:value 9 ] ./'; do
    sed "$change" good >b.lv2/manifest.ttl
    check "a manifest with $change: $(cat errors)" bash -c '! "$0" response --leads b.lv2 >said 2>errors && [ "$(wc -l <errors)" = 1 ] && [ ! -s said ] && grep -q "^coilwright: b.lv2/manifest.ttl:[0-9]*: expected a manifest that names .preset.ttl. alone" errors' "$coilwright"
done
rm b.lv2/manifest.ttl
check 'a bundle without a manifest, which no host loads' "$coilwright" response --leads b.lv2

counts_done
