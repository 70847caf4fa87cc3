#!/bin/bash
# SPDX-License-Identifier: ISC
# Letters without names: nothing but the sound tells which is which; what comes back is judged by the key.
. tests/support/counts.sh
program=$(realpath "${CW_PROGRAM:-build/coilwright}")
presets=$(realpath presets)
support=$(realpath tests/support)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$scratch" || exit 2
full=$presets/job-12-full.ttl
split=$presets/job-12-plain-split.ttl
recorded=$presets/recorded-through-bench-guitar.ttl
"$program" audition --demo -o demo >/dev/null || fail 'no recording'
cp demo/di.wav take.wav
blind() { "$program" blind --di take.wav --recorded "$recorded" "$@"; }

check 'a letter is written' blind -o letter.html --key key.txt "$full" "$split" >said
check 'and the key' grep -q '^coilwright key 1$' key.txt
check 'the letter tells other keys than it has' grep -q 'plays, <kbd>1</kbd> <kbd>2</kbd> switch' letter.html
check 'the letter shows the digest of the key' grep -q "$(sha256sum key.txt | cut -d' ' -f1)" letter.html
check 'it says what can be found' grep -q '13 alike prove a difference at 5 %' said
# Sums of binomial probabilities, worked out by another program: two-sided 5 %, right in 75 %, power of 90 % for good.
check 'and with how many trials' grep -q 'with 90 % or more from 42 trials on' said
for word in 'Job 12' 'job-12' 'plain split' "$(sed -n 's/^candidate \([0-9a-f]*\).*/\1/p' key.txt | head -n 1)" "$(sed -n 's/^salt //p' key.txt)"; do
    check "the letter does not hold '$word'" bash -c '! grep -qF "$1" letter.html' - "$word"
done
check 'it can be mailed' test "$(stat -c %s letter.html)" -lt 7000000

# ---- what is not sound: two letters of one seed with the candidates exchanged are the same but for the clips and
# the digest of the key, which names the candidates (256 random bits in it hide them).
bare() { sed 's|base64,[^"]*"|base64,"|; s|<code id="commitment">[0-9a-f]\{64\}<|<code><|' "$1"; }
sizes() { grep -o 'base64,[^"]*"' "$1" | awk '{ print length($0) }' | sort -u; }
same=0
for seed in $(seq 12); do
    for question in prefer brighter; do
        blind --seconds 1 --question $question --seed "$seed" -o a.html --key a.txt -f "$full" "$split" >/dev/null
        blind --seconds 1 --question $question --seed "$seed" -o b.html --key b.txt -f "$split" "$full" >/dev/null
        cmp -s <(bare a.html) <(bare b.html) && ! cmp -s a.html b.html && [ "$(sizes a.html | wc -l)" = 1 ] && [ "$(sizes b.html | wc -l)" = 1 ] && same=$((same + 1))
    done
done
check "exchanged candidates change nothing but the clips, all of one size: $same of 24" test $same = 24
blind --seconds 1 --seed 1 -o c.html --key c.txt "$full" "$split" >/dev/null
blind --seconds 1 --seed 1 -o d.html --key d.txt "$full" "$split" >/dev/null
check 'one seed makes one letter' cmp -s c.html d.html
blind --seconds 1 -o e.html --key e.txt "$full" "$split" >/dev/null
blind --seconds 1 -o f.html --key f.txt "$full" "$split" >/dev/null
check 'without a seed each is another' bash -c '! cmp -s e.html f.html && ! cmp -s <(grep "^trial " e.txt) <(grep "^trial " f.txt)'
# First and second, and what stands in them, over many letters: as often, by the sign test at 1 %.
firsts=0
for seed in $(seq 40); do
    blind --seconds 1 --seed "many $seed" -o m.html --key m.txt -f "$full" "$split" >/dev/null
    firsts=$((firsts + $(grep -c '^trial 1 1 ' m.txt)))
done
check "the first clip of a letter is either candidate: $firsts of 40" test $firsts -gt 11 -a $firsts -lt 29

# ---- the clips: one level, none twice, no tag or digest in them
mkdir clips
grep -o 'base64,[^"]*"' letter.html | sed 's/base64,//; s/"//' | { i=0; while read -r clip; do i=$((i + 1)); base64 -d <<<"$clip" >clips/$i.flac; done; }
check 'two clips for each of 17 trials' test "$(ls clips | wc -l)" = 34
check 'no two are the same bytes' test "$(sha256sum clips/* | cut -c1-64 | sort -u | wc -l)" = 34
check 'all are of one size' test "$(stat -c %s clips/* | sort -u | wc -l)" = 1
check 'what stands before the audio is the same in all' test "$(for f in clips/*; do head -c 42 "$f" | sha256sum; done | sort -u | wc -l)" = 1
check 'no tag names the maker' bash -c '! grep -qi "libflac\|vorbis" clips/*'
check 'no digest of the samples' test "$(head -c 42 clips/1.flac | tail -c 16 | od -An -tx1 | tr -d ' 0\n')" = ''
if need ffmpeg 'the level of the clips is not measured anew'; then
    for f in clips/*; do
        ffmpeg -v error -i "$f" -af ebur128=metadata=1,ametadata=print:key=lavfi.r128.I:file=- -f null - | sed -n 's/^lavfi.r128.I=//p' | tail -n 1
    done | sort -n >levels
    check "level within 0.01 dB by ffmpeg: $(head -n 1 levels) to $(tail -n 1 levels)" \
        awk 'NR == 1 { low = $1 } { high = $1 } END { exit !(NR == 34 && high - low < 0.0101) }' levels
fi

# ---- in an archive, for mail that strips pages; read by another program
check 'a letter in an archive' blind --seconds 1 --seed zip -o letter.zip --key zip.txt "$full" "$split" >said
blind --seconds 1 --seed zip -o plain.html --key plain.txt "$full" "$split" >/dev/null
if need python3 'the archive is not opened'; then
    check 'holds the same letter' bash -c 'python3 -m zipfile -t letter.zip && python3 -m zipfile -e letter.zip out && cmp out/letter.html plain.html' >/dev/null
fi

# ---- judged by the key
figures() { # answers of one who always chooses candidate $1
    awk -v who="$1" '$1 == "trial" { printf "%d", $3 == who ? 1 : 2 }' "${2:-key.txt}"
}
# Two of one name are told apart.
sed 's/rdfs:label ".*"/rdfs:label "Same"/' "$full" >same-1.ttl
sed 's/rdfs:label ".*"/rdfs:label "Same"/' "$split" >same-2.ttl
blind --seconds 1 -o same.html --key same.txt same-1.ttl same-2.ttl >/dev/null
check 'candidates of one name' bash -c 'grep -q "^candidate [0-9a-f]* Same, candidate 1$" same.txt && grep -q "^candidate [0-9a-f]* Same, candidate 2$" same.txt'
check 'a sure listener is believed' bash -c '"$0" score key.txt "$1" >said && grep -q "Proved: Job 12, plain split is preferred" said' "$program" "$(figures 2)"
check 'with the exact probability' grep -q 'either way: 3.05e-05' said
check 'and what is to be revealed' grep -q "$(sha256sum key.txt | cut -d' ' -f1)" said
check 'one who always says first is not' bash -c '"$0" score key.txt 11111111111111111 >said && grep -q "Not proved" said' "$program"
check 'what could have been found is said' grep -q 'would have been found with a chance' said
check 'and how many would have been enough' grep -q 'From 42 trials on' said
check 'and that he always chose the first' grep -q 'chosen in 16 of 16' said
code=$(sed -n 's/.*as a code, for the record: //p' said)
check 'answers as figures have their code' bash -c '"$0" score key.txt "$1" | cmp -s said -' "$program" "$code"
check 'a code that comes twice is not named' bash -c '"$0" score key.txt "$1" "$1" | grep -q "answers of round 1 come again"' "$program" "$(figures 1)"
# A code that was sent before the end, and the one after it.
sed 's/^trials .*/trials 8/; /^trial \(9\|1[0-9]\) /d' key.txt >part.txt
code=$("$program" score part.txt "$(figures 1 part.txt)" | sed -n 's/.*as a code, for the record: //p')
check 'answers are counted twice' bash -c '"$0" score key.txt "$1" "$2" | grep -q "answers of round 1 come again"' "$program" "$code" "$(figures 1)"
check 'rounds are added up' bash -c '"$0" score key.txt "$1" "$1" >said && grep -q "All 2 rounds together.*proved" said' "$program" "$(figures 1)"
for code in 3ABG-ZH86-KJR5-9K XXXX 1212 ''; do
    check "'$code' is refused in one line" bash -c '! "$0" score key.txt "$1" >said 2>errors && [ ! -s said ] && [ "$(wc -l <errors)" = 1 ]' "$program" "$code"
done
sed 's/^\(candidate [0-9a-f]*\) Job 12, full/\1 \x1b[8mforged/' key.txt >shown.txt
sed 's/^trial 3 .*/trial 3 9 1/' key.txt >bent.txt
check 'a bent key is refused with its line' bash -c '! "$0" score bent.txt 11111111111111111 2>errors && grep -q "bent.txt:1[0-9]: expected trial" errors' "$program"
# What is seen otherwise than it is read, or written otherwise than blind writes it, was not committed to.
for change in 's/^trials .*/& or so/' 's/^trials .*/& /' '$s/$/ 1/' '$a more' '$G' '/^letter/s/$/ /' \
    's/^\(candidate [0-9a-f]*\) Job 12, full/\1 \x1b[8mforged/' 's/^\(candidate [0-9a-f]* Job\)/\1\x00 13/' 's/^level .*/level 0x1p-5/' \
    's/^level .*/level 0.9/' 's/^letter ../letter 0x/' 's/^\(trial 1\) /\1  /' \
    "s/^\\(candidate [0-9a-f]*\\) Job 12, plain.*/\\1 $(printf 'x%.0s' {1..436})trials 17/; /^trials/d"; do
    sed "$change" key.txt >longer.txt
    check "a key with $change is refused in one line" bash -c '! "$0" score longer.txt 11111111111111111 >said 2>errors && [ "$(wc -l <errors)" = 1 ] && grep -q "^coilwright: longer.txt:[0-9]*: expected" errors' "$program"
done
for fill in '' "$(printf 'x%.0s' {1..80})"; do
    sed "s/^\\(candidate [0-9a-f]*\\) Job 12, full/\\1 ${fill}Proved: Job 12, full is preferred./" key.txt >forged.txt
    check 'a name, folded by a terminal or not, is a verdict' bash -c '"$0" score forged.txt 11111111111111111 | fold -w 80 | { ! grep -q "^Proved"; }' "$program"
done
check 'a key without its last line end is not read' bash -c 'printf %s "$(cat key.txt)" >short.txt; "$0" score short.txt 11111111111111111 >said' "$program"
check 'what is no key is refused' bash -c '! "$0" score take.wav 11111111111111111 2>errors && [ "$(wc -l <errors)" = 1 ]' "$program"

# ---- the other questions
check 'three and more' blind --seconds 1 --trials 6 -o three.html --key three.txt "$full" "$split" "$presets/job-12-parallel.ttl" >said
check 'are ranked' bash -c '"$0" score three.txt "$1" >said && grep -q "Circular triads" said' "$program" \
    "$(awk '$1 == "trial" { printf "%d", $3 <= $4 ? 1 : 2 }' three.txt)"
check 'half a choice is said where one never lost' grep -q 'half a choice was added' said
check 'nearer to a reference' blind --seconds 1 --question nearer --reference "$presets/job-12-tapped-split.ttl" -o near.html --key near.txt "$full" "$split" >said
check 'whose clip has a name' grep -q '"Reference"' near.html
check 'and the key too' grep -q '^reference [0-9a-f]* Job 12, split at a tap' near.txt
check 'is there a difference' blind --seconds 1 --question differ -o differ.html --key differ.txt "$full" "$split" >said
check 'is called the weakest' bash -c 'grep -q weakest said && grep -q "weakest of tests" differ.html'
check 'and judged by right answers' bash -c '"$0" score differ.txt "$1" >said && grep -q "Right in 16 of 16" said && grep -q "told apart" said' \
    "$program" "$(awk '$1 == "trial" { printf "%d", $3 }' differ.txt)"

refused() { # STATUS WORDS ARGUMENTS...
    local status=$1 words=$2
    shift 2
    "$program" blind "$@" >said 2>errors
    local found=$?
    if [ $found = "$status" ] && [ "$(wc -l <errors)" = 1 ] && grep -qF -- "$words" errors && [ ! -s said ] && [ ! -e out.html ] && [ ! -e out.txt ]; then
        pass
    else
        fail "blind $*: expected status $status and one line with '$words', found $found: $(cat errors)"
    fi
}
refused 2 'expected a recording' -o out.html --key out.txt "$full" "$split"
refused 2 'expected a key' --di take.wav -o out.html "$full" "$split"
refused 2 'found one name for letter and key' --di take.wav -o out.html --key out.html "$full" "$split"
refused 2 'expected 2 to 8 candidates, found 1 (' --di take.wav -o out.html --key out.txt "$full"
refused 2 'found 62 of 8' --di take.wav -o out.html --key out.txt --trials 62 "$full"{,,,} "$split"{,,,}
refused 2 'whose name ends in .html' --di take.wav -o out.pdf --key out.txt "$full" "$split"
refused 2 'expected two candidates' --di take.wav --question differ -o out.html --key out.txt "$full" "$split" "$full"
refused 2 'belong together' --di take.wav --question nearer -o out.html --key out.txt "$full" "$split"
refused 2 '--question: expected' --di take.wav --question best -o out.html --key out.txt "$full" "$split"
refused 1 'expected a recording longer' --di take.wav --from 60 -o out.html --key out.txt "$full" "$split"
refused 1 'is there already' --di take.wav -o out.html --key key.txt "$full" "$split"
sed 's/"a_volume" ; pset:value 10/"a_volume" ; pset:value 0/' "$full" >off.ttl
refused 1 'silent' --di take.wav -o out.html --key out.txt "$full" off.ttl

# ---- answered in a browser
if need node 'the letter is not answered' && need chromium 'the letter is not answered'; then
    timeout -k 5 120 node "$support/letter_check.mjs" "$scratch/letter.html" "$scratch/key.txt" "$scratch" >said 2>&1
    counted said "the browser's run"
    code=$(sed -n 's/^code //p' said)
    check "the code that the page shows, $code, is read as what was answered" \
        bash -c '"$0" score key.txt "$1" >a && "$0" score key.txt "$2" >b && cmp a b && grep -q "Job 12, full: chosen in 16 of 16" a' "$program" "$code" "$(sed -n 's/^figures //p' said)"
    check "in few signs: $code" test "$(tr -d - <<<"$code" | wc -c)" -le 15
fi
# ---- letter and key are of one run, whoever else writes them: a turn that somebody has is waited for
flock . sh -c 'sleep 0.8; sha256sum L.html K.txt' >before 2>&1 &
sleep 0.2
blind --seconds 1 --trials 4 -o L.html --key K.txt "$full" "$split" >/dev/null
wait
check "published in another's turn: $(cat before)" bash -c '! grep -q "^[0-9a-f]\{64\}" before && [ -e L.html ]'

# ---- killed at any call that gives or takes a name: no letter is there without its key
if need strace 'blind is not killed' && strace -qq -o /dev/null -e inject=write:error=ENOSPC:when=60000 true 2>/dev/null; then
    mkdir killed
    again() { (cd killed && "$@" "$program" blind --di ../take.wav --seconds 1 --trials 4 -o l.html --key k.txt $force "$full" "$split" >/dev/null 2>&1); }
    points=0 safe=0
    for force in '' -f; do
        calls=unlink,unlinkat,link,linkat,rename,renameat,renameat2
        rm -f killed/*
        [ -z "$force" ] || again env
        again strace -f -qq -o ../calls -e trace=$calls
        for call in ${calls//,/ }; do
            for nth in $(seq "$(grep -c " $call(" calls)"); do
                rm -f killed/* killed/.coilwright-*
                [ -z "$force" ] || again env
                { again strace -f -qq -o /dev/null -e "inject=$call:signal=KILL:when=$nth"; } 2>/dev/null
                points=$((points + 1))
                if [ ! -e killed/l.html ] || { [ -e killed/k.txt ] && grep -q "$(sha256sum killed/k.txt | cut -d' ' -f1)" killed/l.html; }; then safe=$((safe + 1)); fi
            done
        done
    done
    check "a letter that is there has its key, wherever it is killed: $safe of $points" test "$points" -ge 7 -a "$safe" = "$points"
fi
# Keys that are none: one clear line, and no waiting for what never comes.
scratch_key=$(mktemp -d)
mkfifo "$scratch_key/pipe"
printf 'coilwright key 1\nsalt \033[8m\n' >"$scratch_key/escape"
head -c 3000000 /dev/zero >"$scratch_key/zeros"
for bad in pipe escape zeros . /dev/zero none; do
    said=$(cd "$scratch_key" && timeout 20 "$program" score "$bad" 1212 2>&1 </dev/null)
    status=$?
    check "score $bad ends with $status" test $status = 1
    check "score $bad: $said" test "$(wc -l <<<"$said")" = 1
    check "score $bad lets a control through" test -z "$(tr -d '\n' <<<"$said" | tr -dc '\000-\037')"
done
rm -rf "$scratch_key"
counts_done
