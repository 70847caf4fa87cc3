#!/bin/bash
# SPDX-License-Identifier: ISC
# coilwright inspect: verdicts, corrections, causes, hostile readings. Causes at large: test_inspection.
. tests/support/commands.sh
"$coilwright" seal "$presets/winding-order-22.ttl" -o coil.seal >/dev/null

# refused STATUS TEXT READINGS: one line that holds TEXT and the file's name.
refused() {
    printf '%b' "$3" >bad.csv
    timeout 20 "$coilwright" inspect coil.seal bad.csv >out 2>err </dev/null
    got=$?
    if [ $got = "$1" ] && [ "$(wc -l <err)" = 1 ] && grep -qF -- "$2" err && grep -q 'bad.csv' err && [ ! -s out ]; then
        pass
    else
        fail "$3: status $got, '$2' is not the one line: $(cat err)"
    fi
}
refused 1 'expected columns of serial' 'serial,colour\n1,2\n'
refused 1 'each once' 'serial,resistance,resistance\n1,2,3\n'
refused 1 'a column serial and one of' 'serial,temperature\n1,2\n'
refused 1 'bad.csv:3: expected 2 cells' 'serial,resistance\n1,5.8k\n2,5.8k,9\n'
refused 1 'bad.csv:2: resistance: expected 0.05 to 100' 'serial,resistance\n1,5800\n'
for value in nan inf -5 1e99 '=1+1' '5.8kH' '0x5' 5.8.8; do
    refused 1 'bad.csv:2: resistance: expected' "serial,resistance\n1,$value\n"
done
refused 1 'inductance: expected 0.01 to 200 H' 'serial,inductance\n1,2.4k\n'
refused 1 'temperature: expected -20 to 80 °C' 'serial,resistance,temperature\n1,5.8k,300\n'
refused 1 'mode: expected series or parallel' 'serial,inductance,mode\n1,2.4,both\n'
refused 1 'serial: expected each once' 'serial,resistance\n1,5.8k\n1,5.8k\n'
refused 1 'serial: expected 1 to 63' 'serial,resistance\n,5.8k\n'
refused 1 'found no coil' 'serial,resistance\n'
refused 1 'expected' '"serial\n'
refused 1 'expected' 'serial,resistance\n"1,5.8k\n'
refused 1 'empty' ''
head -c 20000 /dev/urandom >noise.csv
"$coilwright" inspect coil.seal noise.csv >out 2>err
check 'noise' test $? = 1
check 'noise: one line' test "$(wc -l <err)" = 1

# The design itself passes; resistance read warm is what copper makes it (1.0393 at 30 degC, IEC 60028).
figure() { sed -n "s/^figure $1 \([0-9.]*\) .*/\1/p" coil.seal; }
r=$(figure resistance) l=$(figure inductance) f=$(figure bench)
awk -v r="$r" -v l="$l" -v f="$f" 'BEGIN {
    print "serial,resistance,temperature,inductance,resonance"
    for (i = 1; i <= 10; i++) printf "c%d,%.4f,30,%.4f,%.1f\r\n", i, r * 1.0393 * (1 + 0.001 * (i % 3 - 1)) / 1000, l * (1 + 0.001 * (i % 2)), f
}' >good.csv
"$coilwright" inspect coil.seal good.csv >out
check 'a sound batch: status' test $? = 0
check 'ten pass' grep -q '^10 pass, 0 too close to tell, 0 fail' out
check 'accused' grep -q 'as a whole is as designed' out
check 'a verdict on ten' grep -q 'no verdict below 30 coils' out
check 'measure all' grep -q 'measure all of them' out
check 'resistance at 20 degC' grep -q "^ *c2 *$(awk -v r="$r" 'BEGIN { printf "%.3f", r * 1.001 / 1000 }' | cut -c1-4)" out

# Another batch: 12 % thin wire; and one read in parallel mode, (R^2 + X^2) / X^2 times the inductance.
awk -F, 'NR == 1 { print; next } { printf "%s,%.4f,%s,%s,%s", $1, $2 * 1.27, $3, $4, $5 "\n" }' good.csv >thin.csv
"$coilwright" inspect coil.seal thin.csv >out
check 'thin: status' test $? = 1
check 'thin: the reason' grep -q 'FAIL *Resistance high' out
check 'thin: the cause' grep -q 'most likely: wire 1[0-9]\.[0-9] % thin' out
check 'thin: the calibration' grep -q -- '--resistance-cal 12[67]' out
awk -F, -v r="$r" -v l="$l" 'BEGIN { x = 2 * 3.14159265 * 120 * l; r *= 1.0393; k = (r * r + x * x) / (x * x) }
    NR == 1 { print; next } { printf "%s,%s,%s,%.4f,%s\n", $1, $2, $3, $4 * k, $5 }' good.csv >mode.csv
"$coilwright" inspect coil.seal mode.csv >out
check 'mode: the cause' grep -q 'most likely: the meter in parallel mode' out
# Said, it is taken back.
tr -d '\r' <mode.csv | sed -e '1s/$/,mode/' -e '2,$s/$/,parallel/' >said.csv
"$coilwright" inspect coil.seal said.csv >out
check 'mode said: ten pass' grep -q '^10 pass' out
# Without a temperature resistance is open by 2 %.
cut -d, -f1,2 good.csv | sed '1!s/$//' >cold.csv
"$coilwright" inspect coil.seal cold.csv >out
check 'temperature not said' grep -q 'temperature not said' out
check 'no cause is looked for' grep -q 'no cause is looked for' out
# Edges: a reading on its limit is too close to tell.
low=$(sed -n 's/^limit resistance \([0-9.]*\) .*/\1/p' coil.seal)
printf 'serial,resistance,temperature\n"one, first",%s ohm,20\n' "$low" >edge.csv
"$coilwright" inspect coil.seal edge.csv --csv >out
check 'on the limit: status' test $? = 0
check 'on the limit: too close' grep -q '^"one, first",.*,too close,Resistance low' out
printf 'serial,resistance\n=cmd,5.8k\n' >formula.csv
"$coilwright" inspect coil.seal formula.csv --csv >out
check 'a formula' bash -c '! grep -q "^=" out'

# What is not sealed is refused, or said.
sed 's/^limit resistance [0-9.]*/limit resistance 1000/' coil.seal >edited.seal
"$coilwright" inspect edited.seal good.csv >out 2>err
check 'an edited seal: status' test $? = 1
check 'an edited seal' grep -q 'found one that was edited' err
check 'an edited seal, wanted' "$coilwright" inspect edited.seal good.csv --unsealed --journal edited.journal >out 2>err
check 'that it was edited is not said' grep -q 'NOT SEALED' err
check 'nor booked' grep -q 'EDITED' edited.journal
# A draft, a design withdrawn: told, on paper and in the journal.
for status in draft withdrawn; do
    "$coilwright" seal "$presets/winding-order-22.ttl" -o $status.seal --status $status >/dev/null
    check "$status: status" "$coilwright" inspect $status.seal good.csv --journal $status.journal >out 2>err
    check "$status is not said" grep -q 'is not released' err
    check "$status is not in the report" grep -q "Mind: the design is not released" out
    check "$status is not booked" grep -q "${status^^}.*doubt=the design is not released" $status.journal
done
# Limits that everything passes, under a fingerprint that was made for them.
reseal() { # of the text on standard input, without its last line
    sed '$d' >resealed.text
    cat resealed.text
    sha256sum <resealed.text | sed 's/ .*//; s/^/fingerprint /'
}
sed 's/^limit resistance .* ohm/limit resistance 0 1e300 ohm/' coil.seal | reseal >wide.seal
check 'the fingerprint is not that of the text' bash -c "'$coilwright' verify wide.seal | grep -q '^ok   own'"
"$coilwright" inspect wide.seal good.csv >out 2>err
check 'wide limits: status' test $? = 1
check 'wide limits' grep -q 'expected limits that scatter explains' err
check 'wide limits, wanted' "$coilwright" inspect wide.seal good.csv --unsealed >out 2>err
check 'wide limits are not said' grep -q 'wider than any scatter explains' err
sed 's/^limit inductance .* H/limit inductance 2.28 2.51 H/' coil.seal | reseal >other.seal
check 'other limits' "$coilwright" inspect other.seal good.csv >out 2>err
check 'other limits are not said' grep -q 'computes other limits' err
# Prediction against the coils as wound: the calibrated design says what the bench said, and can be sealed.
awk -F, 'NR == 1 { print; next } { printf "%s,%.4f,%s,%.4f,%s\n", $1, $2 * 1.04, $3, $4 * 1.02, $5 * 0.99 }' good.csv >known.csv
check 'a batch to go by' "$coilwright" inspect coil.seal known.csv --next next.ttl >out
for reading in Resistance Inductance Resonance; do
    check "$reading: what is calibrated is not the bench" awk -v r=$reading '$1 == r && NF == 11 { found = $6 == $10; n++ } END { exit !(found && n == 1) }' out
done
check 'the next revision' "$coilwright" seal next.ttl -o next.seal --before coil.seal
check 'the next is not nearer' bash -c "'$coilwright' inspect next.seal known.csv | grep -q '^Resistance: mean .* (.0\.0 % of the design)'"
"$coilwright" inspect coil.seal known.csv --next next.ttl >out 2>err
check 'it is replaced unasked' grep -q 'is there already' err
# Charts and paper. NIST/SEMATECH e-Handbook 6.3.2.2: ten flow rates, mean 50.81, limits 45.8176 and 55.8024.
printf '%s\n' serial,inductance 1,49.6 2,47.6 3,49.9 4,51.3 5,47.8 6,51.2 7,52.6 8,52.4 9,53.6 10,52.1 >flow.csv
"$coilwright" inspect coil.seal flow.csv --plot flow.pdf -o flow-paper.pdf >out
"$coilwright" inspect coil.seal flow.csv --plot flow.svg -o flow.txt >/dev/null
"$coilwright" inspect coil.seal flow.csv --plot again.pdf -o again-paper.pdf >/dev/null
check 'the report is another in the file' cmp -s out flow.txt
check 'an SVG' grep -q '<svg' flow.svg
check 'two charts differ' cmp -s flow.pdf again.pdf
check 'two papers differ' cmp -s flow-paper.pdf again-paper.pdf
if need pdftotext 'the charts are not read'; then
    for paper in flow.pdf flow-paper.pdf; do
        pdftotext -layout $paper words
        for word in 'mean 50.810' 'chart low 45.818' 'chart high 55.802' 'no verdict below 30' 'Winding order 22'; do
            check "$paper without $word" grep -q "$word" words
        done
    done
    check 'the verdicts are not on paper' grep -q 'FAIL *Inductance high' words
    "$coilwright" inspect coil.seal good.csv --plot three.pdf >/dev/null
    check 'three charts' test "$(pdftotext three.pdf - | grep -c 'in winding order')" = 3
fi
head -n 2 good.csv >single.csv
"$coilwright" inspect coil.seal single.csv --plot single.svg >out 2>err
check 'a chart of one coil' grep -q 'a chart takes two readings' err
"$coilwright" inspect coil.seal good.csv --plot flow.svg >out 2>err
check 'a chart is replaced unasked' grep -q 'is there already' err
"$coilwright" inspect coil.seal good.csv --plot chart.doc >out 2>err
check 'a chart of another kind' test $? = 2
"$coilwright" inspect coil.seal good.csv --csv -o report.txt >out 2>err
check 'a report of a table alone' test $? = 2
# In the journal.
"$coilwright" inspect coil.seal thin.csv --journal log --because 'first batch' >out
check 'the journal' grep -q 'inspect.*because=first batch.*verdict=0 pass, 0 too close to tell, 10 fail.*cause=wire' log
counts_done
