#!/bin/bash
# SPDX-License-Identifier: ISC
# Readings in a database: inspect --database, history, backup; killed at any moment; hostile files. Judges: the sqlite3
# shell, sha256sum. More kills: CW_KILLS (make check-database).
. tests/support/commands.sh
"$coilwright" seal "$presets/winding-order-22.ttl" -o coil.seal >/dev/null

# batch FIRST LAST: readings of sound coils.
batch() {
    awk -v a="$1" -v b="$2" 'BEGIN { print "serial,resistance,temperature,inductance,resonance"
        for (i = a; i <= b; i++) printf "c%d,%.3fk,20,%.3f,%.3fk\n", i, 5.78 + i % 7 / 100, 2.40 + i % 5 / 200, 4.34 - i % 3 / 100 }'
}
batch 1 5 >one.csv
batch 6 8 >two.csv

says 0 '' inspect coil.seal one.csv
if "$coilwright" inspect coil.seal one.csv --database try.db 2>&1 | grep -q 'without SQLite'; then
    skip 'this program was built without SQLite: no databases'
    counts_done
    exit
fi
says 2 'are for --database' inspect coil.seal one.csv --spool 'S 7'
says 2 '--date: expected a day' inspect coil.seal one.csv -d batch.db --date 2026-02-30
says 0 '5 readings added; database batch.db: 5 readings, head ' inspect coil.seal one.csv -d batch.db --spool 'S 7' --winder Ada
head5=$(sed -n 's/.*5 readings, head \([0-9a-f]*\)$/\1/p' out)
says 1 'nothing is added' inspect coil.seal one.csv -d batch.db
says 0 'batch.db: 8 readings' inspect coil.seal two.csv -d batch.db --spool 'S 8' --date 2026-11-20 --journal log
check 'the journal does not tell number and head' grep -q 'database=batch.db: 8 readings, head [0-9a-f]\{64\}' log
says 0 'batch.db: 13 readings' inspect coil.seal one.csv -d batch.db --spool 'S 7' --again
says 0 '13 readings hold' history batch.db
check 'by design' grep -q '^Winding order 22.* 13 * 1*[0-9] ' out
says 0 '' history batch.db --by spool
check 'by spool' bash -c 'grep -q "^S 7 *10 " out && grep -q "^S 8 *3 " out'
says 0 '' history batch.db --by winder
check 'by winder' bash -c 'grep -q "^Ada *5 " out && grep -q "^not said *8 " out'
says 0 '' history batch.db --by date --spool 'S 8'
check 'by date, of one spool' bash -c 'grep -q "^2026-11-20 *3 " out && test "$(wc -l <out)" = 4'
says 0 '' history batch.db --serial c3 --coils
check 'one coil' test "$(grep -c ' c3 ' out)" = 2
says 0 '' history batch.db --spec "$(sed -n 's/^fingerprint \(.\{8\}\).*/\1/p' coil.seal)" --csv
check 'as CSV' test "$(grep -c '^[0-9]*,' out)" = 13
says 0 'has the head' history batch.db --verify --count 5 --head "$head5"
says 2 'belong together' history batch.db --head "$head5"
says 2 '--head: expected' history batch.db --count 5 --head xyz
says 2 'one of' history batch.db --csv --coils
says 1 'nothing of this name' history none.db
check 'it was made by looking' test ! -e none.db

says 0 '' history batch.db --plot off.pdf
if need pdftotext 'the charts are not read'; then
    check 'three charts' test "$(pdftotext off.pdf - | grep -c 'off the design')" = 3
fi
says 1 'is there already' history batch.db --plot off.pdf
says 1 'two readings of a kind' history batch.db --serial none --plot none.svg
says 2 '--plot: expected' history batch.db --plot off.doc
# What a spreadsheet would take for a formula leaves as text.
printf 'serial,resistance\n=1+1,5.8k\n' >formula.csv
says 0 '' inspect coil.seal formula.csv -d formula.db --winder '@cmd' --spool "$(printf 'a\033[2Jb')"
"$coilwright" history formula.db --csv >out
check 'a formula in CSV' bash -c "grep -q \",'=1+1,\" out && grep -q \",'@cmd,\" out"
check 'a control character was kept' bash -c '! grep -q "$(printf "\033")" out && grep -q "a<U+001B>.2Jb" out'
# Eight at once: each is there, and the chain holds.
for i in $(seq 8); do
    batch $((40 + 2 * i)) $((41 + 2 * i)) >many-$i.csv
    "$coilwright" inspect coil.seal many-$i.csv -d many.db >many-$i.out 2>&1 &
done
wait
says 0 '16 readings hold' history many.db --verify
check 'each was told its own head' test "$(cat many-*.out | sed -n 's/.*head //p' | sort -u | wc -l)" = 8

# As plain text it is a journal, whose chain any program can follow.
"$coilwright" history batch.db --text >text
says 0 '13 entries hold' journal --journal text --verify
head=$(printf '0%.0s' {1..64})
while IFS= read -r line; do
    head=$(printf '%s\n%s' "$head" "${line%$'\t'chain=*}" | sha256sum | cut -d' ' -f1)
done < <(tail -n +2 text)
check 'the head is not the digest' test "$head" = "$(sqlite3 batch.db 'SELECT chain FROM reading WHERE number = 13')"

# Backup of both by one command.
says 0 'batch.db: 13 readings, head' backup -d batch.db --journal log -o saved
check 'the journal is not said' grep -q '^log: 1 entries, head' out
check 'its text' cmp -s saved/readings.txt text
check 'its journal' cmp -s saved/journal.txt log
says 0 '13 readings hold' history saved/readings.db
says 1 'is there already' backup -d batch.db -o saved
says 0 '' backup -d batch.db --journal - -o saved -f
check 'the journal is not wanted' test ! -e saved/journal.txt
says 2 'found neither' backup -o other
says 1 'none: expected a journal' backup --journal none -o other
check 'a backup of nothing' test ! -e other
says 2 'a directory to write' backup -d batch.db

# Bytes behind the last page are no data of it: the chain holds, a backup has none of them, and it can be added to.
for more in 13 4096 20000; do
    cp batch.db longer.db
    head -c "$more" <(yes 'not a reading') >>longer.db
    says 0 '13 readings hold' history longer.db --verify
    check "$more bytes behind it change the text" cmp -s text <("$coilwright" history longer.db --text)
    rm -rf without
    says 0 'longer.db: 13 readings, head' backup -d longer.db --journal - -o without
    check 'a backup has them' bash -c '! grep -q "not a reading" without/readings.db'
    batch 70 72 >more.csv
    says 0 '' inspect coil.seal more.csv -d longer.db
    says 0 '16 readings hold' history longer.db --verify
done

# What is no database of ours, and what was changed.
says 1 'found something else' history /dev/null
: >empty.db
says 1 'found an empty one' history empty.db
head -c 30000 /dev/urandom >noise.db
says 1 'noise.db: ' history noise.db
says 1 'noise.db: ' inspect coil.seal one.csv -d noise.db
mkfifo pipe.db
says 1 'found something else' history pipe.db
says 1 'found something else' inspect coil.seal one.csv -d .
says 1 'cannot' inspect coil.seal one.csv -d nowhere/x.db
if need sqlite3 'what another tool makes is not tried'; then
    sqlite3 other.db 'CREATE TABLE t (x)'
    says 1 'found another' history other.db
    says 1 'found another' inspect coil.seal one.csv -d other.db
    cp batch.db edited.db
    check 'the triggers let it be changed' bash -c '! sqlite3 edited.db "UPDATE reading SET spool = 0" 2>/dev/null'
    sqlite3 edited.db 'INSERT OR REPLACE INTO reading SELECT number, recorded, date, title, revision, fingerprint, spool, winder, serial,
        5900.0, celsius, inductance_henry, mode, frequency_hz, resonance_hz, load_farad, load_ohm, corrected_resistance_ohm,
        corrected_inductance_henry, corrected_resonance_hz, predicted_resistance_ohm, predicted_inductance_henry,
        predicted_resonance_hz, verdict, chain FROM reading WHERE number = 7'
    says 1 'reading 7: the chain breaks here' history edited.db
    says 1 'reading 7: the chain breaks here' inspect coil.seal two.csv --again -d edited.db
    says 1 'reading 7: the chain breaks here' backup -d edited.db -o from-edited
    check 'something was written' test ! -e from-edited
    cp batch.db cut.db
    sqlite3 cut.db "DROP TRIGGER reading_stays; DELETE FROM reading WHERE number > 4; CREATE TRIGGER reading_stays BEFORE DELETE ON reading BEGIN
  SELECT RAISE(ABORT, 'readings stay');
END"
    says 0 '4 readings hold' history cut.db
    says 1 'does NOT have' history cut.db --count 5 --head "$head5"
    # A table that would never end, as a view in place of ours; a function that would run.
    sqlite3 view.db 'PRAGMA application_id = 1131893348; PRAGMA user_version = 1;
        CREATE VIEW reading AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i AS number FROM n'
    says 1 'found others' history view.db
fi
# A byte changed here and there: one line, or nothing that differs.
"$coilwright" history batch.db --csv >whole
size=$(stat -c %s batch.db)
for at in $(seq 0 4 100) $(seq 103 211 "$((size - 1))"); do
    cp batch.db flip.db
    printf '\377' | dd of=flip.db bs=1 seek="$at" conv=notrunc 2>/dev/null
    timeout 20 "$coilwright" history flip.db --csv >out 2>err </dev/null
    got=$?
    if { [ $got = 0 ] && cmp -s out whole; } || { [ $got = 1 ] && [ "$(wc -l <err)" = 1 ]; }; then pass; else
        fail "byte $at: status $got: $(cat err)"
    fi
done
cp batch.db long.db
truncate -s 5000 long.db
says 1 'long.db: ' history long.db
chmod 444 batch.db
says 0 '13 readings hold' history batch.db

# What stands beside a database is read with it: a journal whose end names another file has the library delete that one,
# a log replaces the tables (SQLite, "Database File Format", 3 and 4).
number() { for shift in 24 16 8 0; do printf '\\x%02x' $(($1 >> shift & 255)); done; }
mark='\xd9\xd5\x05\xf9\x20\xa1\x63\xd7'
"$coilwright" inspect coil.seal one.csv -d beside.db >/dev/null
page=$((0x$(od -An -j16 -N2 -tx1 beside.db | tr -d ' ')))
victim=$scratch/precious
sum=0
for c in $(printf %s "$victim" | od -An -v -tu1); do sum=$((sum + c)); done
{
    printf "$mark"
    printf "$(number 0)$(number 1)$(number $(($(stat -c %s beside.db) / page)))$(number 512)$(number $page)"
    head -c 484 /dev/zero
    printf "$(number $((0x40000000 / page + 1)))"
    printf %s "$victim"
    printf "$(number ${#victim})$(number $sum)$mark"
} >hot
for how in 'history beside.db' 'inspect coil.seal two.csv -d beside.db' 'backup -d beside.db --journal - -o beside'; do
    echo dear >"$victim"
    cp hot beside.db-journal
    # shellcheck disable=SC2086 # the words of the command
    says 1 'beside.db-journal: stands beside the database' $how
    check "$how deleted what a journal names" test -e "$victim"
done
rm beside.db-journal
mkfifo beside.db-journal
SAYS_SECONDS=10 says 1 'beside.db-journal: stands beside' history beside.db
rm beside.db-journal
: >beside.db-wal
says 1 'beside.db-wal: stands beside' history beside.db
rm beside.db-wal
# Who waited for another writer dates its readings after that one's.
if need sqlite3 'nobody else writes'; then
    cp beside.db waited.db
    sqlite3 waited.db 'BEGIN IMMEDIATE' '.shell sleep 1.3; date -u +%FT%TZ >released' 'ROLLBACK' &
    sleep 0.2
    env -u SOURCE_DATE_EPOCH "$coilwright" inspect coil.seal two.csv -d waited.db >/dev/null
    wait
    check 'dated before its turn' test "$(sqlite3 waited.db "SELECT min(recorded) >= '$(cat released)' FROM reading WHERE number > 5")" = 1
fi
# A log that is one's own is taken in as the message says.
if need sqlite3 'no log is taken in'; then
    cp beside.db logged.db
    sqlite3 logged.db 'PRAGMA journal_mode=WAL' 'SELECT count(*) FROM reading' ".shell cp logged.db-wal kept" >/dev/null
    cp kept logged.db-wal
    says 1 "where it is yours, sqlite3 DATABASE 'PRAGMA journal_mode=DELETE'" history logged.db
    sqlite3 logged.db 'PRAGMA journal_mode=DELETE' >/dev/null
    says 0 '5 readings hold' history logged.db
fi
says 0 '5 readings hold' history beside.db
check 'one clock, and it is doubted' bash -c '! grep -q dated out'
cp beside.db early.db
SOURCE_DATE_EPOCH=1600000000 "$coilwright" inspect coil.seal two.csv -d early.db >/dev/null
says 0 'Reading 6 is dated before reading 5' history early.db --verify
mkdir 'file:here?mode=memory'
says 0 '' backup -d beside.db --journal - -o 'file:here?mode=memory/copy'
check 'a directory whose name begins as an address' test -s 'file:here?mode=memory/copy/readings.db'
# What is asked for beside it is looked at before anything is added.
echo mine >there.svg
for what in '--plot there.svg' '-o none/x.pdf' '--plot new.pdf -o new.pdf'; do
    # shellcheck disable=SC2086 # the words of the command
    says 1 '' inspect coil.seal two.csv -d beside.db $what
    check "readings were added with $what" bash -c '"$0" history beside.db --verify | grep -q "^5 readings"' "$coilwright"
done
check 'something else was written' test ! -e new.pdf

# Killed at any moment: whatever was said to be there is there, and the chain holds.
kills=${CW_KILLS:-20} said=0
start=$(date +%s%N)
"$coilwright" inspect coil.seal one.csv -d killed.db >/dev/null
took=$((($(date +%s%N) - start) / 1000000))
for i in $(seq "$kills"); do
    batch $((100 + 3 * i)) $((102 + 3 * i)) >killed.csv
    "$coilwright" inspect coil.seal killed.csv -d killed.db >killed.out 2>killed.err &
    pid=$!
    ms=$((took / 2 + RANDOM % (took + 1)))
    sleep "$((ms / 1000)).$(printf %03d $((ms % 1000)))"
    { kill -9 $pid; wait $pid; } 2>/dev/null
    line=$(sed -n 's/.*killed.db: \([0-9]*\) readings, head \([0-9a-f]*\)$/\1 \2/p' killed.out)
    # Sooner or later next time, so that the kills stay about the moment of writing whatever else the machine does.
    if [ -n "$line" ]; then
        echo "$line" >>acknowledged
        said=$((said + 1)) took=$((took * 9 / 10))
    else
        took=$((took * 11 / 10 + 1))
    fi
done
touch acknowledged
while read -r number digits; do
    timeout 60 "$coilwright" history killed.db --verify --count "$number" --head "$digits" >out 2>&1 ||
        fail "killed: reading $number is lost: $(cat out)"
done <acknowledged
check "$kills kills: the chain does not hold" "$coilwright" history killed.db --verify
echo "$kills kills, $said acknowledged, $("$coilwright" history killed.db --verify | sed 's/ hold.*//') in the database"
check 'nothing was acknowledged: the kills come too early' test $said -gt 0
counts_done
