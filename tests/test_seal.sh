#!/bin/bash
# SPDX-License-Identifier: ISC
# coilwright seal, verify and diff at the command line. Judges: sha256sum, minisign.
. tests/support/commands.sh
coil=$presets/winding-order-22.ttl

# refused STATUS TEXT ARGUMENTS...: one line that holds TEXT.
refused() {
    status=$1 text=$2
    shift 2
    timeout 20 "$coilwright" "$@" >out 2>err </dev/null
    got=$?
    if [ $got = "$status" ] && [ "$(wc -l <err)" = 1 ] && grep -qF -- "$text" err; then
        pass
    else
        fail "$*: status $got, '$text' is not the one line: $(cat err)"
    fi
}
# verifies STATUS TEXT ARGUMENTS...: of verify's standard output.
verifies() {
    status=$1 text=$2
    shift 2
    timeout 20 "$coilwright" verify "$@" >out 2>err </dev/null
    got=$?
    if [ $got = "$status" ] && grep -qF -- "$text" out; then pass; else fail "verify $*: status $got, no '$text': $(cat out err)"; fi
}

# --- what is refused
refused 2 'expected one CANDIDATE' seal -o x.seal
refused 2 'expected a seal to write' seal "$coil"
refused 2 'expected one candidate, found a comparison' seal "$presets/compare-cables.ttl" -o x.seal
refused 2 '--revision' seal "$coil" -o x.seal --revision I
refused 2 '--status' seal "$coil" -o x.seal --status final
refused 2 '--because: expected at most' seal "$coil" -o x.seal --because "$(printf 'x%.0s' {1..600})"
SOURCE_DATE_EPOCH=soon refused 1 'expected seconds since 1970' seal "$coil" -o x.seal
refused 1 'cannot read' seal "$coil" -o x.seal --decided nowhere
refused 1 'x.seal' verify x.seal
refused 1 "expected coilwright seal" verify "$coil"
refused 2 'expected SEAL' verify
refused 2 '--fingerprint: expected 16 to 64' verify x.seal --fingerprint 12
refused 2 'belongs to --key' verify x.seal --signature x
refused 2 'expected two designs, found 1' diff "$coil"
check 'something is left behind' test ! -e x.seal

# --- sealed, and sealed again: the same bytes; the fingerprint is what sha256sum says of the lines before it
"$coilwright" seal "$coil" -o a.seal --because 'The customer chose it: "warm"' --decided "$coil" >said
"$coilwright" seal "$coil" -o b.seal --because 'The customer chose it: "warm"' --decided "$coil" >/dev/null
check 'two seals of one design differ' cmp -s a.seal b.seal
print=$(sed '$d' a.seal | sha256sum | cut -d' ' -f1)
check 'the fingerprint is not of the lines before it' test "fingerprint $print" = "$(tail -n 1 a.seal)"
check 'what decided it' grep -qx "decided $(sha256sum <"$coil" | cut -d' ' -f1)" a.seal
check 'the day' grep -qx "date $(date -u -d @1795651200 +%Y-%m-%d)" a.seal
check 'the fingerprint is not told' grep -q "${print:0:8} ${print:8:8}" said
check 'a carriage return or no UTF-8' iconv -f UTF-8 -t UTF-8 -o /dev/null a.seal
refused 1 'a.seal' seal "$coil" -o a.seal

verifies 0 'ok   candidate: every control is as sealed' a.seal "$coil" --fingerprint "$print"
verifies 0 'Held against itself only' a.seal
verifies 0 'the fingerprint is the one on paper' a.seal --fingerprint "${print:0:8} ${print:8:8} ${print:16:4}"
verifies 1 'another fingerprint' a.seal --fingerprint "$(printf %064d 7)"

# --- each kind of change
sed 's/^parameter turns .*/parameter turns 7801/' a.seal >edited.seal
verifies 1 'NO   own fingerprint' edited.seal
verifies 1 'the seal was edited' edited.seal --fingerprint "$print"
# Edited with care: the own fingerprint holds again, the paper does not; nor do figures that did not follow.
careful() { sed '$d' "$1" >body && printf 'fingerprint %s\n' "$(sha256sum <body | cut -d' ' -f1)" >line && cat body line >"$1"; }
careful edited.seal
verifies 1 'ok   own fingerprint' edited.seal --fingerprint "$print"
verifies 1 'NO   paper' edited.seal --fingerprint "$print"
verifies 1 'this program computes others' edited.seal
sed 's/^figure resonance .*/figure resonance 4324.0 Hz/' a.seal >constant.seal
careful constant.seal
verifies 1 'Resonance as set: sealed 4324 Hz, now' constant.seal
sed 's/^limit resistance [0-9]*/limit resistance 5000/' a.seal >limit.seal
verifies 1 'NO   own fingerprint' limit.seal
# Limits that accept any coil, under a fingerprint of their own; limits that are none; and what is not to be wound.
sed 's/^limit resistance .*/limit resistance 0 1e+300 ohm/' a.seal >any.seal
careful any.seal
verifies 1 'NO   limits' any.seal
verifies 1 'DC resistance at 20 °C: sealed 0 to 1e+300 ohm, now' any.seal
"$coilwright" diff a.seal any.seal >said
check 'limits that differ' grep -q 'Limits of DC resistance.*then 0 to 1e+300 ohm' said
sed 's/^limit resistance .*/limit resistance 9000 8000 ohm/' a.seal >turned.seal
refused 1 'expected limit resistance' verify turned.seal
sed 's/^limit inductance .*/limit inductance -1 8 H/' a.seal >below.seal
refused 1 'expected limit inductance' verify below.seal
verifies 0 'ok   limits: this program computes the same' a.seal
verifies 0 'ok   status: released' a.seal
for status in withdrawn draft; do "$coilwright" seal "$coil" -o $status.seal --status $status >/dev/null; done
verifies 1 'NO   status: WITHDRAWN: not to be wound' withdrawn.seal
verifies 0 'a draft: not released to be wound' draft.seal
"$coilwright" diff a.seal withdrawn.seal >said
check 'a status' grep -q '^To: .*, WITHDRAWN$' said
check 'an edited seal in a difference' bash -c '! "$0" diff a.seal limit.seal >said 2>err && grep -q "NOT SEALED: it was edited" said && grep -q "limit.seal: expected a seal that holds" err' "$coilwright"
sed 's/^title .*/title Another/' a.seal >title.seal
verifies 1 'NO   own fingerprint' title.seal
# Blanks are no words: neither of a command line nor of a preset's label.
sed 's/rdfs:label "[^"]*"/rdfs:label "  "/' "$coil" >blank.ttl
check 'nothing was changed' bash -c '! cmp -s "$0" blank.ttl' "$coil"
"$coilwright" seal blank.ttl -o blank.seal --title ' ' --because '  ' >/dev/null
verifies 0 'ok   candidate' blank.seal blank.ttl
check 'blanks for words' grep -qx 'title -' blank.seal
# Words that no seal is written with, under a fingerprint that holds.
while IFS='|' read -r word text expected; do
    sed "s/^$word .*/$word $text/" a.seal >word.seal
    careful word.seal
    refused 1 "$expected, found '$word $text'" verify word.seal
done <<'END'
title||expected a word or more behind it
title|  |expected a word or more behind it
because||expected a word or more behind it
date|2026-13-99|expected date, a day as 2026-11-26
date|2026-02-29|expected date, a day as 2026-11-26
date|26-11-2026|expected date, a day as 2026-11-26
revision|I|expected revision, one or two of its letters
decided|nothing|expected a SHA-256, or - for nothing
before|A|expected a SHA-256, or - for nothing
END
sed 's/^date .*/date 2028-02-29/' a.seal >leap.seal
careful leap.seal
verifies 0 'ok   own fingerprint' leap.seal
sed '/^parameter gauge/d' a.seal >missing.seal
refused 1 'missing.seal:' verify missing.seal
sed '1s/1$/2/' a.seal >later.seal
refused 1 'a later one takes a later version' verify later.seal
printf 'more\n' | cat a.seal - >longer.seal
refused 1 'or the end, found' verify longer.seal
head -c 1500 a.seal >cut.seal
refused 1 'cut.seal:' verify cut.seal
head -c 100000 /dev/zero >zero.seal
refused 1 'zero.seal' verify zero.seal

# --- a preset that a host saved again (single precision, another order) is the design; one digit more is not
"$coilwright" new -b "$coil" -o again.ttl >/dev/null
verifies 0 'ok   candidate' a.seal again.ttl
"$coilwright" new -b "$coil" --turns 7801 -o more.ttl >/dev/null
verifies 1 'NO   candidate' a.seal more.ttl
check 'the change is not told' grep -q 'Turns *7800 *7801' out
check 'whether it is heard' grep -q 'Heard? no' out
"$coilwright" new -b "$coil" --turns 6000 -o fewer.ttl >/dev/null
verifies 1 'Heard? yes' a.seal fewer.ttl
refused 1 'name a side' verify a.seal "$presets/compare-cables.ttl"

# --- the design as a preset, with the mark that the window reads: schema, SHA-256 of the first lines, fingerprint, revision
"$coilwright" seal "$coil" -o p.seal --preset p.ttl --title 'Größe "22"' >said
check 'the preset is not told' grep -q '^As a preset in p.ttl.$' said
verifies 0 'ok   candidate' p.seal p.ttl
print=$(tail -n 1 p.seal | cut -d' ' -f2)
first=$(grep -B 1000 -m 1 '^limit' p.seal | sed '$d' | sha256sum | cut -d' ' -f1)
check 'the mark' grep -qF "#seal_a> \"1 $first $print A\"" p.ttl
check 'the name' grep -qF '#name_a> "Größe \"22\""' p.ttl
check 'no preset of one side' bash -c '! grep -q "name_b\|seal_b\|recorded" p.ttl'
refused 1 'p.ttl' seal "$coil" -o p2.seal --preset p.ttl
refused 1 'p3.seal' seal "$coil" -o p3.seal --preset p3.seal
"$coilwright" seal "$coil" -o p4.seal --preset p4.lv2 --title "$(printf 'ü%.0s' {1..100})" >/dev/null
check 'a long name is cut between characters' iconv -f UTF-8 -t UTF-8 -o /dev/null p4.lv2/preset.ttl
verifies 0 'ok   candidate' p4.seal p4.lv2

# --- the journal it was noted in: its own entry, which stands beside what the fingerprint covers
for n in 1 2 3; do "$coilwright" seal "$coil" -o j$n.seal --journal log >said; done
check 'the line of the journal' grep -qx "journal 2 $(sed -n '3s/.*chain=//p' log)" j2.seal
check 'its number and head are not told' grep -q "^Entry 3 of the journal log, head $(tail -n 1 j3.seal | cut -d' ' -f3 | cut -c1-16)" said
check 'the fingerprint covers it' test "$(sed '/^fingerprint /,$d' j2.seal | sha256sum | cut -d' ' -f1)" = "$(sed -n 's/^fingerprint //p' j2.seal)"
check 'the entry tells another seal' grep -q "fingerprint=$(sed -n 's/^fingerprint //p' j2.seal)" log
verifies 0 'ok   journal: has the entry' j2.seal --journal log
verifies 0 'noted as entry 2 of a journal' j2.seal
check 'the journal is not asked for' grep -q 'name it with --journal' out
verifies 1 'NO   journal: the seal tells no entry' a.seal --journal log
verifies 0 'ok   own fingerprint' a.seal --journal -
sed '4s/RELEASED/DRAFT/' log >later.log
check 'nothing was changed' bash -c '! cmp -s log later.log'
verifies 1 'changed further on' j2.seal --journal later.log
head -n 2 log >cut.log
verifies 1 'NO   journal: does NOT have the entry' j2.seal --journal cut.log
verifies 1 'NO   journal' j2.seal --journal nowhere.log
printf '4\t2026' | cat log - >torn.log
verifies 0 'ok   journal' j2.seal --journal torn.log
for n in 1 2; do "$coilwright" seal "$coil" -o n$n.seal --journal anew.log --because 'another story' >/dev/null; done
verifies 1 'NO   journal' j2.seal --journal anew.log
refused 1 'j1.seal' seal "$coil" -o j1.seal --journal log
check 'a seal that is refused is noted' test "$(wc -l <log)" = 4

# --- revisions
"$coilwright" seal fewer.ttl -o r.seal --before a.seal >/dev/null
check 'the revision that follows' grep -qx 'revision B' r.seal
verifies 0 'is the one that this seal names' r.seal --before a.seal
verifies 1 'is not the one that this seal names' r.seal --before limit.seal
refused 1 'found one that was edited' seal fewer.ttl -o s.seal --before limit.seal
"$coilwright" seal fewer.ttl -o last.seal --revision YY >/dev/null
refused 1 'no revision follows YY: name one with --revision' seal fewer.ttl -o next.seal --before last.seal
"$coilwright" diff a.seal r.seal >said
check 'diff of two seals' grep -q 'Turns *7800 *6000' said
"$coilwright" diff "$coil" again.ttl >said
check 'diff of the same' grep -q 'Every control is the same' said
"$coilwright" diff "$presets/compare-cables.ttl" >said
check 'diff of a comparison' grep -q 'Cable length *3 m *12 m' said
"$coilwright" diff "$presets/job-12-full.ttl" "$presets/job-12-plain-split.ttl" >said
check 'of what a split leaves' grep -q '^Where a split is on' said
"$coilwright" new -b "$coil" -o hair.ttl --turns 7800 --resistance-cal 100.00002 >/dev/null 2>&1
check 'a small change has its unit' grep -q 'Calibration of resistance  *100 %  *100.0000[0-9]* %' <("$coilwright" diff "$coil" hair.ttl)
# A hostile title stands in one line and does not act.
"$coilwright" seal "$coil" -o h.seal --title "$(printf 'x\nfingerprint 0\033[2J')" >said
check 'a title with a line break holds' "$coilwright" verify h.seal >/dev/null
check 'an escape comes through' bash -c "! grep -q \$'\\033' said h.seal"

# --- with a preset: both or neither, of one run
echo mine >mine.ttl
for preset in mine.ttl none/x.ttl both.seal; do
    refused 1 '' seal "$coil" -o both.seal --preset $preset --journal both.log
    check "a seal without its preset $preset" test ! -e both.seal -a ! -e both.log
done
flock . sh -c 'sleep 0.6; ls turn.seal turn.ttl' >before 2>/dev/null &
sleep 0.2
"$coilwright" seal "$coil" -o turn.seal --preset turn.ttl >/dev/null
wait
check "written in another's turn: $(cat before)" test ! -s before -a -e turn.ttl

# --- no line of somebody else's begins as an answer does, whatever a terminal of 80 columns folds
for fill in '' "x$(printf ' %.0s' {1..70})" "$(printf 'x%.0s' {1..80})" "$(printf '가%.0s' {1..40})"; do
    "$coilwright" seal "$coil" --title "${fill}ok   signature: of this file and this key." -o forged.seal -f >/dev/null
    "$coilwright" verify forged.seal >out
    check "a title that folds in diff: $(head -n 2 out)" bash -c '! "$0" diff forged.seal "$1" | grep -v "^From: " | grep -q "^\(ok\|signature\)"' "$coilwright" "$coil"
    check "a title that folds: $(head -n 2 out)" bash -c '! sed -n 2,3p out | grep -q "^[^ ]" && [ "$(grep -c "^ok   signature" out)" = 0 ] && [ "$(head -n 1 out | wc -L)" -le 79 ]'
done

# --- signatures, by minisign itself
if need minisign 'signatures are not judged'; then
    minisign -G -W -p key.pub -s key.sec >/dev/null 2>&1
    minisign -G -W -f -p other.pub -s other.sec >/dev/null 2>&1
    minisign -S -s key.sec -m a.seal -t 'order 22' >/dev/null 2>&1
    verifies 0 'ok   signature' a.seal --key key.pub
    check 'the trusted comment' grep -q 'order 22' out
    verifies 0 'ok   signature' a.seal --key "$(tail -n 1 key.pub)"
    minisign -S -l -s key.sec -m a.seal -x old.minisig >/dev/null 2>&1
    verifies 0 'ok   signature' a.seal --key key.pub --signature old.minisig
    sed '2s/^R/S/' old.minisig >strange.minisig # of an algorithm that there is none of
    verifies 1 'NO   signature' a.seal --key key.pub --signature strange.minisig
    verifies 1 'NO   signature' a.seal --key other.pub
    # A file whose name is the key that is typed, and which holds another key, comes along with a seal.
    typed=$(tail -n 1 key.pub)
    mkdir -p evil/"$(dirname "$typed")" && cp other.pub "evil/$typed"
    check 'a file of the name of a key takes its place' \
        bash -c 'cd evil && "$0" verify ../a.seal --key "$1" --signature "$2" | grep -q "ok   signature"' "$coilwright" "$typed" "$PWD/a.seal.minisig"
    cp a.seal.minisig edited.seal.minisig
    verifies 1 'NO   signature' edited.seal --key key.pub
    sed 's/order 22/order 23/' a.seal.minisig >comment.minisig
    verifies 1 'NO   signature' a.seal --key key.pub --signature comment.minisig
    for broken in 1 2 3 4; do
        sed "${broken}s/.*/x/" a.seal.minisig >broken.minisig
        [ $broken = 1 ] || verifies 1 'NO   signature' a.seal --key key.pub --signature broken.minisig
    done
    : >empty
    verifies 1 'NO   signature' a.seal --key empty
    verifies 1 'NO   signature' a.seal --key key.pub --signature empty
fi
counts_done
