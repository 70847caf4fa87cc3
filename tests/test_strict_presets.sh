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

counts_done
