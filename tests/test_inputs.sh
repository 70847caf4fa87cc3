#!/bin/bash
# SPDX-License-Identifier: ISC
# What a command reads is never what it writes, by whatever name; and pipes are read once, or refused in time.
# Judges: cmp and sha256sum.
. tests/support/commands.sh
SAYS_SECONDS=30
export XDG_CONFIG_HOME=$scratch/config

run() { "$coilwright" "$@" >out 2>&1 </dev/null || fail "$* failed: $(cat out)"; }

cp "$presets/compare-cables.ttl" pair.ttl
run new -o coil.ttl --turns 5000
run seal coil.ttl -o coil.seal --journal log
run seal coil.ttl -o old.seal
printf 'serial,resistance\n1,3.7k\n2,3.8k\n' >readings.csv
run impulse coil.ttl -o di.wav

# Every input by another spelling, a link and a second name: none is replaced, and all are as they were.
mkdir sub other
ln -s . here
for f in coil.ttl coil.seal readings.csv di.wav log key.txt; do
    [ -e $f ] || echo "of $f" >$f
    ln -s "../$f" "sub/$f"
    ln "$f" "other/$f"
done
sha256sum coil.ttl coil.seal old.seal readings.csv di.wav log pair.ttl >sums
# keeps FILE ARGUMENTS...: with %s where its name goes.
keeps() {
    file=$1
    shift
    for name in "here/$file" "sub/$file" "other/$file"; do
        says 1 'expected another file to write than' "${@//%s/$name}"
        check "$* replaced $file" sha256sum --quiet -c sums
    done
}
keeps coil.ttl new --base coil.ttl -o %s -f
keeps coil.ttl new --turns 4000 --against coil.ttl -o %s -f
keeps coil.ttl seal coil.ttl -o %s -f
keeps coil.ttl response coil.ttl -o %s -f
keeps coil.ttl spread coil.ttl --csv -o %s -f
# sheet asks for an ending that a seal has not; a seal may be named so
cp coil.seal seal.txt && ln -s ../seal.txt sub/seal.txt && ln seal.txt other/seal.txt && sha256sum seal.txt >>sums
keeps seal.txt sheet seal.txt -o %s -f
says 1 'expected another file' seal coil.ttl --before old.seal -o here/old.seal -f
says 1 'expected another file' seal coil.ttl --decided readings.csv -o sub/readings.csv -f
check 'what decided it was replaced' sha256sum --quiet -c sums

# A journal is only appended to: named in the command, in the configuration, or not at all.
says 1 'is a journal, which is never replaced' seal coil.ttl -o log -f
says 1 'is a journal' seal coil.ttl -o sub/log -f --journal log
says 1 'expected another file' seal coil.ttl -o new.log -f --journal here/new.log
check 'a journal that was not there yet' test ! -e new.log
check 'the journal was replaced' sha256sum --quiet -c sums

# Two things that are written are two files.
says 1 "found that of" blind --di di.wav coil.ttl pair.ttl#b -o letter.html --key here/letter.html -f
check 'half a letter' test ! -e letter.html
says 1 'expected another file' blind --di di.wav coil.ttl pair.ttl#b -o letter.html --key sub/coil.ttl -f
ln di.wav other/di.html
says 1 'expected another file' blind --di di.wav coil.ttl pair.ttl#b -o other/di.html --key key.txt -f
check 'the recording or a preset was replaced' sha256sum --quiet -c sums

# Results that are read stay.
run audition --di di.wav coil.ttl -o results
cp -r results copy
preset=$(find results/settings -name '*.ttl' | head -n 1)
says 1 'expected another directory to replace' audition --di di.wav "$preset" -o here/results --force
check 'results went' diff -r results copy

# A bundle is somebody else's where its manifest names anything else.
run new --turns 4000 -o mine.lv2
run new --turns 4100 -o mine.lv2 -f
mkdir foreign.lv2
printf '<amp> a <urn:x> ; <urn:y> <amp.so> .\n' >foreign.lv2/manifest.ttl
cp foreign.lv2/manifest.ttl manifest
says 1 "found another bundle's" new --turns 4000 -o foreign.lv2 -f
check 'a foreign manifest was replaced' cmp -s manifest foreign.lv2/manifest.ttl
check 'a preset is in a foreign bundle' test ! -e foreign.lv2/preset.ttl
printf 'no turtle [' >foreign.lv2/manifest.ttl
says 1 "found another bundle's" new --turns 4000 -o foreign.lv2 -f

# Pipes: read once, whoever asks twice.
says 0 'every control is as sealed' verify <(cat coil.seal) <(cat coil.ttl)
says 0 'Every control is the same' diff <(cat coil.seal) <(cat coil.ttl)
says 0 'sealed in p.seal' seal <(cat coil.ttl) --decided <(cat readings.csv) --before <(cat old.seal) -o p.seal
check 'the digest of a pipe' grep -q "^decided $(sha256sum <readings.csv | cut -d' ' -f1)$" p.seal
check 'the seal before, from a pipe' grep -q "^before $(sed -n 's/^fingerprint //p' old.seal)$" p.seal
run blind --di di.wav coil.ttl pair.ttl#b -o letter.html --key letter.txt --seed x --trials 8
trials=$(grep -c '^trial ' letter.txt)
says 0 "$(sha256sum <letter.txt | cut -d' ' -f1)" score <(cat letter.txt) "$(printf '1%.0s' $(seq "$trials"))"
# Somebody who takes his time is waited for.
says 0 'own fingerprint: holds' verify <(
    sleep 1
    head -c 100 coil.seal
    sleep 1
    tail -c +101 coil.seal
)

# A pipe that nobody writes to, or reads, ends in a line and not in waiting.
mkfifo pipe pipe.csv
for words in 'verify pipe' 'sheet pipe' 'diff pipe coil.ttl' 'score pipe 11' 'inspect coil.seal pipe' 'fit pipe -o x.ttl' \
    'seal pipe -o x.seal' 'response pipe' 'seal coil.ttl --decided pipe -o x.seal' 'verify coil.seal --key pipe' \
    'verify coil.seal --before pipe' 'journal --journal pipe' 'audition --di pipe coil.ttl -o x' 'take pipe'; do
    # shellcheck disable=SC2086 # words are words
    (timeout 20 "$coilwright" $words >/dev/null 2>&1 </dev/null || echo "$? $words" >>ended) &
done
wait
check 'a pipe is waited for' bash -c '! grep -v "^[12] " ended'
check 'a pipe that nobody writes to passes' test "$(wc -l <ended)" = 14
says 1 'nobody reads this pipe' sheet coil.seal -o pipe.csv
says 1 'found a device' verify /dev/zero
says 1 'found a device' seal coil.ttl --decided /dev/zero -o x.seal
says 1 'found a directory' verify sub
check 'inputs are as they were' sha256sum --quiet -c sums
counts_done
