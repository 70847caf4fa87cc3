#!/bin/bash
# SPDX-License-Identifier: ISC
# coilwright sheet: what stands on the page. Judges: poppler (text, picture), zbar (the code), ImageMagick (grey).
. tests/support/commands.sh

# refused STATUS TEXT ARGUMENTS...: one line that holds TEXT.
refused() {
    status=$1 text=$2
    shift 2
    "$coilwright" sheet "$@" >out 2>err </dev/null
    got=$?
    if [ $got = "$status" ] && [ "$(wc -l <err)" = 1 ] && grep -qF -- "$text" err; then
        pass
    else
        fail "sheet $*: status $got, '$text' is not the one line: $(cat err)"
    fi
}
"$coilwright" seal "$presets/winding-order-22.ttl" -o coil.seal --because 'chosen by ear' >/dev/null
"$coilwright" seal "$presets/split-job-12-series.ttl" -o split.seal >/dev/null 2>&1 ||
    "$coilwright" seal "$presets/job-12-tapped-split.ttl" -o split.seal >/dev/null
print=$(sed -n 's/^fingerprint //p' coil.seal)

refused 2 'expected one SEAL'
refused 2 'expected a name that ends in' coil.seal -o sheet.doc
refused 1 'coilwright seal makes one of a preset' "$presets/winding-order-22.ttl"
refused 1 'cannot read' nowhere.seal
"$coilwright" sheet coil.seal -o sheet.pdf
refused 1 'is there already' coil.seal -o sheet.pdf
ln -s /dev/full full.pdf
refused 1 'cannot write' coil.seal -o full.pdf

# Made again it is the same, to the byte; so on another day, which is not the seal's.
SOURCE_DATE_EPOCH=86400 "$coilwright" sheet coil.seal -o again.pdf
check 'two sheets of one seal differ' cmp -s sheet.pdf again.pdf
"$coilwright" sheet coil.seal -o sheet.csv
"$coilwright" sheet coil.seal -o sheet.txt
"$coilwright" sheet coil.seal >said
check 'text on standard output is another' cmp -s said sheet.txt

# The figures: bare wire of AWG 42 (NEMA MW 1000 C: .0024 .0025 .0026 in), 7800 turns, limits as the seal has them.
for words in 'RELEASED' 'Winding order 22' "$print" '7800' 'AWG 42' '0.00240 .. 0.00260 in' '0.0635 mm' 'Alnico 5' \
    'COMPUTED, until a first coil was measured' 'series mode' '470 pF' 'chosen by ear' 'hot wax' 'Approved by'; do
    check "text without '$words'" grep -qF "$words" sheet.txt
    grep -qF "$words" sheet.csv || [ "$words" = RELEASED ] || fail "CSV without '$words'"
done
low=$(sed -n 's/^limit resistance \([0-9.]*\) .*/\1/p' coil.seal)
check 'the lower limit of resistance is another' grep -q "$(awk -v r="$low" 'BEGIN { printf "%.3f", r / 1000 }') \.\." sheet.txt
# Copper: 30 degC is 1.0393 of 20 degC (IEC 60028).
at20=$(sed -n 's/^figure resistance \([0-9.]*\) .*/\1/p' coil.seal)
check 'resistance at 30 degC' grep -q "30 °C, 86 °F: $(awk -v r="$at20" 'BEGIN { printf "%.3f", r * 1.0393 / 1000 }') kΩ" sheet.txt

if need pdftotext 'the page is not read'; then
    pdftotext -layout sheet.pdf page.txt
    for words in RELEASED "$print" 7800 'AWG 42' 'page 1 of 2' 'page 2 of 2' 'COMPUTED, until' Serial 'Keep?'; do
        check "page without '$words'" grep -qF "$words" page.txt
    done
    "$coilwright" sheet split.seal -o split.pdf
    pdftotext -layout split.pdf split.txt
    for words in 'Split by' 'with the split off' Polarity 'Coil one' Junction Sleeve; do
        check "split without '$words'" grep -qF "$words" split.txt
    done
    check 'more than two pages, or fewer' test "$(pdfinfo split.pdf | sed -n 's/^Pages: *//p')" = 2
    pdftoppm -r 150 -png -singlefile sheet.pdf page
fi
if need zbarimg 'the code is not read'; then
    zbarimg -q --raw page.png >code 2>/dev/null
    check 'the code is not the fingerprint' test "$(tr A-F a-f <code)" = "$print"
    check 'verify does not take the code' "$coilwright" verify coil.seal --fingerprint "$(cat code)" >/dev/null
fi
if need convert 'ink is not looked at'; then
    check 'ink that is not black' test "$(convert page.png -colorspace HSL -channel G -separate -format '%[fx:maxima]' info:)" = 0
fi

# A seal that was edited: said large, without a code.
sed 's/^title .*/title Another/' coil.seal >edited.seal
"$coilwright" sheet edited.seal -o edited.pdf 2>err
check 'it is not said' grep -q 'the seal was edited' err
if need pdftotext 'the page is not read'; then
    check 'NOT SEALED is not on it' bash -c 'pdftotext edited.pdf - | grep -q "NOT SEALED"'
    check 'it has a fingerprint' bash -c '! pdftotext edited.pdf - | grep -q [0-9a-f]\\{64\\}'
fi
# A hostile title stays in its line and acts on nothing.
"$coilwright" seal "$presets/winding-order-22.ttl" -o h.seal --title "$(printf '=1+1 \033[2J <b>%s' "$(printf 'W%.0s' {1..150})")" >/dev/null
"$coilwright" sheet h.seal -o h.pdf
check 'a long title breaks the page' test -s h.pdf
"$coilwright" sheet h.seal -o h.csv
check 'a formula in the CSV' bash -c '! grep -q "^[^,]*,[^,]*,\"*=" h.csv'
# Number and head of journal and readings, as the journal's own command tells them; a changed one is refused.
"$coilwright" new --turns 4700 -o new.ttl --journal log >/dev/null
head=$("$coilwright" journal --journal log --verify | sed -n 's/.*head //p')
check 'with a journal' "$coilwright" sheet coil.seal --journal log -o kept.txt
check 'its number and head' grep -qF "Journal: 1 entries, head ${head:0:32}" kept.txt
printf 'serial,resistance\n1,5.8k\n' >one.csv
if "$coilwright" inspect coil.seal one.csv -d batch.db >/dev/null 2>err; then
    head=$("$coilwright" history batch.db --verify | sed -n 's/.*head //p')
    "$coilwright" sheet coil.seal -d batch.db -o kept.pdf
    check 'those of the readings' bash -c "pdftotext -layout kept.pdf - | grep -q 'Readings *1, head ${head:0:32}'"
else
    skip "no database of readings: $(cat err)"
fi
sed -i 's/new/old/' log
refused 1 'the chain breaks' coil.seal --journal log

# --- words from elsewhere: a reason that is cut within a character ended the drawing there; what no seal is written with
"$coilwright" seal "$presets/winding-order-22.ttl" -o long.seal --because "a$(printf 'ä%.0s' {1..150})" >/dev/null
check 'a long reason' "$coilwright" sheet long.seal -o long.pdf
if need pdftotext 'the page is not read'; then
    check 'nothing stands behind a long reason' bash -c 'pdftotext -layout long.pdf - | grep -q "Turns of coil one"'
    check 'a short reason is called cut' bash -c '! pdftotext -layout sheet.pdf - | grep -q "has all of it"'
    check 'the cut of a long reason is not told' bash -c 'pdftotext -layout long.pdf - | grep -q "ä… (the seal has all of it)"'
fi
for word in '\033[31mx' 'x\342\200\256y' 'Sp\344t'; do
    { sed '/^title /,$d' coil.seal; printf "title $word\n"; sed '1,/^title /d; /^fingerprint /,$d' coil.seal; } >forged.seal
    echo "fingerprint $(sha256sum <forged.seal | cut -d ' ' -f 1)" >>forged.seal
    refused 1 'expected a text without control characters' forged.seal -o forged.pdf
done
counts_done
