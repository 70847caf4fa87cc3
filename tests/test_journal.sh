#!/bin/bash
# SPDX-License-Identifier: ISC
# The journal that commands keep where they are asked to. Judges: sha256sum, strace's injected faults.
. tests/support/commands.sh
export XDG_CONFIG_HOME=$scratch/config
pair=$presets/job-12-full.ttl

says 2 'expected a journal' journal
says 0 'Entry 1 of the journal log' new --turns 4600 -o six.ttl --journal log --because 'fewer	turns
and a break'
check 'the first line' test "$(head -n 1 log)" = 'coilwright journal 1'
check 'one line an entry' test "$(wc -l <log)" = 2
check 'the reason is not escaped' grep -qF 'because=fewer\tturns\nand a break' log
says 0 'Entry 2' seal six.ttl -o six.seal --journal log --because 'it is warm'
says 0 'Entry 3' split "$pair" --level 75% --by tap --journal log
says 0 '' split "$pair" --level 75% --by tap --csv --journal log
check 'a word in CSV' bash -c '! grep -q Entry out'
check 'its entry is not there' test "$(wc -l <log)" = 5

# The chain, by sha256sum: of the head before (zeros at first), LF, and the line up to its chain.
head=$(printf '0%.0s' {1..64})
while IFS= read -r line; do
    head=$(printf '%s\n%s' "$head" "${line%$'\t'chain=*}" | sha256sum | cut -d' ' -f1)
    check 'a chain is not the digest' test "$head" = "${line##*chain=}"
done < <(tail -n +2 log)
says 0 "4 entries hold, head $head" journal --journal log
says 0 "fewer\\tturns" journal --journal log
says 0 'it is warm' journal --journal log seal
check 'another entry is shown' bash -c '! grep -q "  new" out'
says 0 "Entry 4 has the head" journal --journal log --verify --count 4 --head "${head:0:16}"

# Entries are in the order in which they were written, whatever a clock said.
says 0 '4 entries hold' journal --journal log --verify
check 'one clock, and it is doubted' bash -c '! grep -q dated out'
cp log later.log
SOURCE_DATE_EPOCH=1600000000 "$coilwright" seal six.ttl -o early.seal --journal later.log >/dev/null
says 0 'Entry 5 is dated before entry 4' journal --journal later.log --verify

# A letter, and its answers.
"$coilwright" audition --demo -o demo --journal log >out 2>&1
check 'audition notes' grep -q 'Entry 5' out
if [ -s demo/di.wav ]; then
    di=demo/di.wav
    "$coilwright" blind --di "$di" -o letter.html --key key.txt --seed x "$pair" six.ttl --journal log >out 2>&1
    check 'blind notes' grep -q 'Entry 6' out
    check 'the plan is noted' grep -q 'blind.*letter=.*plan=17 trials, level of proof 5 %.*key=key.txt' log
    trials=$(grep -c '^trial ' key.txt)
    "$coilwright" score key.txt "$(printf '1%.0s' $(seq "$trials"))" --journal log >out 2>&1
    check 'score notes' grep -q 'of the journal log' out
    check 'figures and verdict are noted' grep -q 'score.*figures=.*probability.*verdict=' log
else
    fail 'the demonstration has no recording'
fi

# A reason of any length is kept whole.
long=$(printf 'because %.0s' {1..2000})
says 0 'Entry 1' new -o long.ttl --turns 4600 --journal long.log --because "$long"
check 'a long reason was cut' grep -qF "because=$long" long.log
says 0 '1 entries hold' journal --journal long.log --verify

# What can be none is said when it is named.
says 1 'expected a name in one line' journal --use 'a
b'
says 1 'found something else' journal --use /dev/null
says 1 'cannot' journal --use nowhere/log
says 1 'not the first line of a journal' journal --use six.ttl
check 'named all the same' test ! -e config/coilwright/journal

# A configuration whose path no file of the system can have is not cut, and is no "there is none" (PATH_MAX, POSIX 2008).
deep=/$(printf 'abcdefg/%.0s' {1..600})
for variable in XDG_CONFIG_HOME HOME; do
    for command in 'journal --use log' 'journal' "new -o six-b.ttl --turns 4600"; do
        # shellcheck disable=SC2086 # the words of the command
        env -u XDG_CONFIG_HOME -u HOME "$variable=$deep" "$coilwright" $command >out 2>err
        status=$?
        check "$variable of 4801 bytes, $command: $status, $(cat err)" test "$status $(cat err)" = \
            "1 coilwright: $variable: expected a path of at most 4064 bytes, found 4801"
    done
done
mkdir gone
(cd gone && rmdir ../gone && "$coilwright" journal --use log) >out 2>err
check "a directory without a name: $(cat err)" grep -qxF "coilwright: log: expected a name from / on, since this directory has none: No such file or directory" err
# Named once for the user. A name that cannot be read is said: nothing is left out in silence.
mkdir -p config/coilwright/journal
says 1 'expected the name of the journal, found Is a directory' new -o unsaid.ttl --turns 4700
check 'done without an entry' test ! -e unsaid.ttl
says 1 'expected the name of the journal' journal
says 0 '' new -o unsaid.ttl --turns 4700 --journal -
rmdir config/coilwright/journal
echo relative.log >config/coilwright/journal
says 1 'found something else' new -o unsaid.ttl -f --turns 4700
printf '/no/line/end' >config/coilwright/journal
says 1 'found something else' new -o unsaid.ttl -f --turns 4700
rm config/coilwright/journal
says 0 '' journal --use own.log
says 0 "Entry 1 of the journal $scratch/own.log" new -o seven.ttl --turns 4700
says 0 '' new -o eight.ttl --turns 4800 --journal -
check 'noted though not wanted' test "$(wc -l <own.log)" = 2
says 0 '1 entries hold' journal
says 2 '--use stands alone' journal --use x --verify
says 0 '' journal --use -
says 2 'expected a journal' journal

# What was changed.
cp log whole
count=$(($(wc -l <log) - 1))
last=$(tail -n 1 log)
sed -i '3s/warm/cold/' log
says 1 'log:3: the chain breaks here' journal --journal log --verify
says 1 'the journal is kept as it is' new -o nine.ttl --turns 4900 --journal log
check 'the command began' test ! -e nine.ttl
sed '3d' whole >log
says 1 'log:3: not the entry that is next' journal --journal log --verify
head -n -1 whole >log
says 0 "$((count - 1)) entries hold" journal --journal log --verify
says 1 'does NOT have' journal --journal log --verify --count $count --head "${last##*chain=}"
head -c -5 whole >log
says 1 'cut off: no line' journal --journal log
# A program that died while it wrote: the rest goes, which the next entry notes.
says 0 'log:'"$((count + 1))"': an entry was cut off while it was written' new -o nine.ttl --turns 4900 --journal log
says 0 "$count entries hold" journal --journal log --verify
check 'what was cut off is not noted' grep -q 'torn=[0-9]* bytes before' log
printf 'coilwright jour' >log
says 0 'Entry 1 ' new -o nine-b.ttl --turns 4900 --journal log
# An editor that took the last line's end away: nothing of the entry is lost.
head -c -1 whole >log
says 0 "Entry $((count + 1)) " new -o nine-c.ttl --turns 4900 --journal log
says 0 "$((count + 1)) entries hold" journal --journal log --verify
printf 'another file, no line end' >log
says 1 'not the first line of a journal' new -o nine-d.ttl --turns 4900 --journal log
check 'a file that is no journal was touched' test "$(cat log)" = 'another file, no line end'
echo hello >log
says 1 'not the first line of a journal' new -o nine-e.ttl --turns 4900 --journal log
check 'another file was touched' test "$(cat log)" = hello
mkdir dir
says 1 'found something else' new -o nine-f.ttl --journal dir
mkfifo pipe
says 1 'pipe' new -o nine-f.ttl --journal pipe
says 1 'cannot' new -o ten.ttl --journal nowhere/log
says 2 'belong together' journal --journal whole --head "$head"
says 2 '--head' journal --journal whole --count 1 --head xyz
says 1 'nothing of this name yet' journal --journal none
: >empty
says 1 'no entry yet' journal --journal empty

# Twenty at once: every one is there, and the chain holds.
for i in $(seq 20); do
    "$coilwright" new -o "many-$i.ttl" --turns $((4000 + i)) --journal many >/dev/null 2>&1 &
done
wait
says 0 '20 entries hold' journal --journal many --verify

# Writes and syncs that fail: one line, and the journal is as it was.
if need strace 'failing writes are not tried'; then
    for call in pwrite64:error=ENOSPC fsync:error=EIO; do
        # The last of its kind is the journal's: others are of the preset.
        strace -f -o trace -e trace="${call%%:*}" "$coilwright" new -o f.ttl -f --turns 4500 --journal many >/dev/null
        last=$(grep -c "${call%%:*}(" trace)
        cp many before
        strace -f -o trace -e trace="${call%%:*}" -e inject="$call:when=$last" \
            "$coilwright" new -o f.ttl -f --turns 4500 --journal many >out 2>err
        check "$call: status" test $? = 1
        check "$call: no line" grep -q 'many: cannot write' err
        check "$call: the journal was changed" cmp -s before many
    done
fi
counts_done
