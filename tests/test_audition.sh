#!/bin/bash
# SPDX-License-Identifier: ISC
# coilwright audition as a person runs it: the demonstration, one's own files, mistakes, interrupts.
# Loudness is measured anew by ffmpeg's ebur128 filter.
. tests/support/counts.sh
program=$(realpath "${CW_PROGRAM:-build/coilwright}")
presets=$(realpath presets)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$scratch" || exit 2
full=$presets/job-12-full.ttl
split=$presets/job-12-tapped-split.ttl
recorded=$presets/recorded-through-bench-guitar.ttl

# What is not looked at is not shown.
quiet() { "$@" >/dev/null; }

# ---- the demonstration
check 'the demonstration runs' "$program" audition --demo --files -o demo >said 2>errors
check 'it says nothing on standard error' test ! -s errors
check 'it says where to listen' grep -q "file://$scratch/demo/index.html" said
for file in index.html results.csv response.svg response.png di.wav di-tone.wav contents.txt; do
    check "demo/$file is there" test -s demo/$file
done
candidates=$(($(wc -l <demo/results.csv) - 2))
check "at least 12 candidates, found $candidates" test "$candidates" -ge 12
for directory in true-level level-matched; do
    check "a $directory file for each and the recording" test "$(ls demo/$directory | wc -l)" = $((candidates + 1))
done
check 'a settings file for each and the recorded-through setup' \
    test "$(ls demo/settings | wc -l)" = $((candidates + 1))
check 'contents.txt lists every file' \
    cmp -s <(cd demo && find . -type f ! -name contents.txt | sed 's|^\./||' | sort) <(sed 1d demo/contents.txt | cut -c 67- | sort)
check 'with its SHA-256, by sha256sum' bash -c 'cd demo && sha256sum --quiet --strict -c contents.txt'
check 'as recorded is the recording, bit for bit' cmp -s demo/di.wav demo/true-level/00-as-recorded.wav

# Columns of results.csv without the label.
rows() { tail -n +2 "$1/results.csv" | sed 's/^\([^,]*\),\("[^"]*"\|[^,]*\),/\1,/'; }
check 'the test tone is within 0.01 dB of the circuit' \
    awk -F, 'NR > 1 { if ($17 == "" || $19 == "" || $19 > 0.01 || $19 < -0.01) bad = 1; n++ } END { exit bad || n < 12 }' \
    <(rows demo)
check 'the tone is not the same through all' \
    awk -F, 'NR > 1 { if (NR == 2 || $17 < low) low = $17; if (NR == 2 || $17 > high) high = $17 }
             END { exit !(high - low > 3) }' <(rows demo)
check 'nothing is raised to match, and one is left as it is' \
    awk -F, '{ if ($7 > 0) bad = 1; if ($7 == 0) kept++ } END { exit bad || kept != 1 }' <(rows demo)

"$program" audition --demo --files -o again >/dev/null
check 'two runs are alike to the last bit' diff -r demo again
check 'a directory that is there is not replaced' \
    bash -c '! "$1" audition --demo -o again 2>errors && [ $(wc -l <errors) = 1 ] && grep -q "again: is there already" errors' \
    - "$program"
check 'with --force it is' quiet "$program" audition --demo --files -o again --force
check 'and equals the first' diff -r demo again
touch again/notes.txt
check 'a directory with a stranger in it is not replaced, even so' \
    bash -c '! "$1" audition --demo -o again --force 2>errors && grep -q "found .notes.txt. in it" errors && [ -e again/notes.txt ]' \
    - "$program"
mkdir precious && echo mine >precious/file
check 'nor is any other directory' \
    bash -c '! "$1" audition --demo -o precious --force 2>errors && [ "$(cat precious/file)" = mine ]' - "$program"
mkdir empty
check 'an empty directory is filled' quiet "$program" audition --demo -o empty

# ---- the page
page=demo/index.html
check 'the page fetches nothing' bash -c '! grep -Eqi "https?://|fetch\(|XMLHttpRequest|@import|url\(|WebSocket|sendBeacon" "$1"' - $page
check 'it plays without a script' test "$(grep -o '<audio controls' $page | wc -l)" = $((candidates + 1))
check 'all that it shows and plays is in it' bash -c '! grep -Eo "(src|href)=\"[^\"]{0,5}" "$1" | grep -v "src=\"data:"' - $page
check 'every field of the template is filled' bash -c '! grep -q "{{" "$1"' - $page
for words in 'coilwright [0-9]' "$(sha256sum demo/di.wav | cut -d" " -f1)" 'Recorded through: bench guitar' \
    "Content-Security-Policy\" content=\"default-src 'none'; connect-src 'none'"; do
    check "it says $words" grep -q "$words" $page
done
# The digest in the policy is that of the script that stands in the page, by another program.
awk '/^<script>/ { on = 1; sub(/^<script>/, "") } on && /^<\/script>/ { exit } on' $page >script.js
if need openssl 'the digests in the policy are not worked out anew'; then
    script=$(openssl dgst -sha256 -binary script.js | base64)
    check 'the policy names the script by its digest' grep -qF "script-src 'sha256-$script'" $page
fi
check 'it cautions about loud sound' grep -q 'volume low' $page

# ---- loudness, measured by another program
if need ffmpeg 'the level-matched files are not measured anew'; then
    loudness() {
        ffmpeg -hide_banner -nostats -i "$1" -af ebur128 -f null - 2>&1 |
            awk '/Integrated loudness/ { in_it = 1 } in_it && $1 == "I:" { print $2; exit }'
    }
    for file in demo/level-matched/*.wav; do loudness "$file"; done >matched
    check "level-matched files are within 0.1 LU of one another by ffmpeg: $(sort -n matched | sed -n '1p;$p' | tr '\n' ' ')" \
        awk 'NR == 1 || $1 < low { low = $1 } NR == 1 || $1 > high { high = $1 }
             END { exit !(NR >= 13 && high - low < 0.1001) }' matched
    for file in demo/true-level/*.wav; do loudness "$file"; done >true
    check 'true-level files are as loud as results.csv says, by ffmpeg' \
        awk -F, '{ getline other <"true"; d = $2 - other; if (d > 0.1 || d < -0.1) bad = 1 } END { exit bad || NR < 13 }' \
        <(rows demo)
fi

# ---- every usual rate and kind: a tone comes out at the level that the circuit gives it
if need ffmpeg 'other rates and kinds of recording are not made'; then
    predicted=$(rows demo | awk -F, 'NR == 2 { print $18 }')
    for kind in 8000:pcm_s16le:wav 22050:flac:flac 44100:pcm_s24le:wav 88200:pcm_f32le:wav 96000:flac:flac \
        192000:pcm_s32le:wav 384000:pcm_s16be:aiff; do
        IFS=: read -r rate codec suffix <<<"$kind"
        ffmpeg -v error -y -f lavfi -i "sine=997:r=$rate:d=8" -ac 1 -c:a "$codec" "tone.$suffix"
        rm -rf kind
        check "$kind is rendered" quiet "$program" audition --di "tone.$suffix" --recorded "$recorded" --files -o kind "$full"
        check "$kind at the predicted level, $predicted dB" \
            awk -F, -v p="$predicted" 'NR == 1 { first = $5 } NR == 2 { d = $5 - first - p; exit !(d < 0.02 && d > -0.02) }' \
            <(rows kind)
        check "$kind keeps its rate" \
            test "$(ffprobe -v error -show_entries stream=sample_rate -of csv=p=0 kind/true-level/01-*.wav)" = "$rate"
    done
    ffmpeg -v error -y -i demo/di.wav -i demo/true-level/09-coil-bright.wav -filter_complex 'amerge=inputs=2' -c:a pcm_s24le stereo.wav
    check 'one channel of a stereo file' quiet "$program" audition --di stereo.wav --channel 1 --files -o left "$full"
    check 'is that channel' cmp -s left/true-level/00-as-recorded.wav demo/di.wav
    "$program" audition --di stereo.wav --files -o right "$full" 2>errors
    check 'without --channel it is refused in one line' \
        bash -c '[ "$1" = 1 ] && [ $(wc -l <errors) = 1 ] && grep -q "stereo.wav: expected a mono recording, found 2 channels" errors' - $?
fi

# ---- one's own files
cp demo/di.wav take.wav
check 'one candidate, with what it was recorded through' \
    quiet "$program" audition --di take.wav --recorded "$recorded" --files -o one "$full"
check 'sounds as in the demonstration' \
    cmp -s one/true-level/01-job-12-full.wav demo/true-level/01-job-12-full.wav
check 'the settings it wrote make the same sound' \
    quiet "$program" audition --di take.wav --recorded one/settings/00-recorded-through.ttl --files -o two one/settings/01-job-12-full.ttl
check 'to the last bit' cmp -s one/true-level/01-job-12-full.wav two/true-level/01-job-12-full.wav
"$program" audition --di take.wav --files -o bare "$full" >said
check 'without --recorded nothing is divided out, and that is said' grep -q 'Nothing divided out' said
check 'which sounds different' bash -c '! cmp -s one/true-level/01-job-12-full.wav bare/true-level/01-job-12-full.wav'
"$program" audition --di take.wav --files -o session "$presets/session-job-12.ttl" >said
check 'a session brings its recorded-through setup' grep -q 'Divided out of the recording: Session' said
"$program" audition --di take.wav -o still --set undo_recording=off "$presets/session-job-12.ttl" >said
check 'unless it is switched off' grep -q 'Nothing divided out' said
check 'and its two sides' test "$(ls session/true-level | wc -l)" = 3
check 'its side A is the candidate of the same values' bash -c 'cmp -s session/true-level/01-*.wav one/true-level/01-*.wav'
sed 's/"rec_inductance" ; pset:value 3.1/"rec_inductance" ; pset:value 3.2/' "$presets/session-job-12.ttl" >other.ttl
"$program" audition --di take.wav --files -o clash "$presets/session-job-12.ttl" other.ttl 2>errors
check 'two sessions that contradict one another are bad usage' test $? = 2
check 'said in one line' test "$(wc -l <errors)" = 1
check '--recorded settles it' quiet "$program" audition --di take.wav --recorded "$recorded" --files -o clash \
    "$presets/session-job-12.ttl" other.ttl
"$program" audition --di take.wav --recorded "$recorded" -o same "$recorded" >/dev/null
"$program" audition --di take.wav --recorded "$recorded" --files -o sides "$presets/compare-cables.ttl#b" >/dev/null
check 'FILE#b is one side' test "$(ls sides/true-level | wc -l)" = 2
set --
for i in $(seq 64); do set -- "$@" "$full"; done
check '64 candidates' quiet "$program" audition --di take.wav --files -o many "$@"
check 'make 64 files and the recording' test "$(ls many/true-level | wc -l)" = 65
"$program" audition --di take.wav -o more "$@" "$@" "$@" "$@" "$full" 2>errors
check '257 are refused' bash -c '[ "$1" = 1 ] && grep -q "at most 256" errors && [ "$(wc -l <errors)" = 1 ] && [ ! -e more ]' - $?

# A flat candidate through what it was recorded with is the recording: the plugin undoes it all.
check 'candidate equal to recorded-through gives the recording back' \
    awk -F, 'NR == 1 { first = $2 } NR == 2 { exit !($2 - first < 0.011 && first - $2 < 0.011) }' <(rows same)

# ---- float, short, silent, loud
check '--float writes float files' bash -c '"$1" audition --di take.wav --float --files -o float "$2" >/dev/null &&
    [ "$(od -An -tu2 -j20 -N2 float/true-level/01-job-12-full.wav | tr -d " ")" = 3 ]' - "$program" "$full"
# Four bytes, lowest first.
word() { printf "$(printf '\\%03o\\%03o\\%03o\\%03o' $(($1 & 255)) $(($1 >> 8 & 255)) $(($1 >> 16 & 255)) $(($1 >> 24)))"; }
# N frames of the 24-bit mono recording, one second into it.
head_wav() {
    local bytes=$((3 * $1))
    printf 'RIFF'
    word $((36 + bytes))
    head -c 40 take.wav | tail -c 32
    word $bytes
    tail -c +$((45 + 3 * 48000)) take.wav | head -c $bytes
}
head_wav 9600 >short.wav
check 'a take below 0.4 s is rendered' "$program" audition --di short.wav -o short "$full" "$split" >said 2>errors
check 'and matched by mean power, which is said' grep -q 'mean power (too short or quiet' said
check 'to equal power' awk -F, '{ p = $5 + $7; if (NR > 1 && (p - q > 0.011 || q - p > 0.011)) bad = 1; q = p }
    END { exit bad || NR != 3 }' <(rows short)
sed 's/"a_volume" ; pset:value 10/"a_volume" ; pset:value 0/; s/Job 12, full/Off/' "$full" >off.ttl
check 'a silent candidate does not spoil the match' \
    bash -c '"$1" audition --di take.wav -o off off.ttl "$2" >said && grep -q "Silent, so not matched: Off" said' - "$program" "$full"
check 'and is marked' grep -Eq '^01-off,"?Off"?,-inf,' off/results.csv
sed 's/"a_sensitivity" ; pset:value 0/"a_sensitivity" ; pset:value 20/' "$full" >loud.ttl
check 'a candidate that would clip lowers the whole set' \
    bash -c '"$1" audition --di take.wav -o loud loud.ttl "$2" >said && grep -q "All at true level lowered alike" said' \
    - "$program" "$full"
check 'to just below full scale' \
    awk -F, '{ p = $4 + $6; if (NR == 1 || p > most) most = p } END { exit !(most < -0.08 && most > -0.12) }' <(rows loud)


# ---- what the record says of recording and candidates
if need sox 'no clipped take is made'; then
    sox -D demo/di.wav hot.wav gain 20 2>/dev/null
    "$program" audition --di hot.wav --recorded "$recorded" -o hot "$full" >said
    check 'a clipped take is named' grep -q 'Cut off at full scale: [0-9]* samples at [0-9]* places' said
    check 'on the page too' grep -q 'Cut off at full scale' hot/index.html
fi
check 'a whole one is not' bash -c '! grep -q "cut off" one/index.html'
"$program" audition --di take.wav --recorded "$recorded" -o sixty --set mains=60 "$presets/job-12-capacitor-split.ttl" "$presets/winding-order-21.ttl" >said
check 'hum is told for the mains that is set' grep -q 'at 60 Hz mains' sixty/index.html
hum_of() { awk -F, 'NR == 2 { print $15 }' <(rows "$1"); }
"$program" audition --di take.wav --recorded "$recorded" -o fifty "$presets/job-12-capacitor-split.ttl" >/dev/null
check "and differs from that at 50 Hz: $(hum_of fifty) and $(hum_of sixty)" test "$(hum_of fifty)" != "$(hum_of sixty)"
check 'two footings of true level are said' grep -q 'two footings' said
check 'and on the page' grep -q 'two footings' sixty/index.html
check 'one is not' bash -c '! grep -q "two footings" demo/index.html'
check 'the digest of the recording is in the table' grep -q "^00-as-recorded,.*,$(sha256sum take.wav | cut -d' ' -f1),coilwright " one/results.csv
check 'equal settings have one digest' test "$(awk -F, 'NR == 2 { print $22 }' <(rows one))" = "$(awk -F, 'NR == 2 { print $22 }' <(rows demo))"
check 'others have another' test "$(awk -F, 'NR > 1 { print $22 }' <(rows demo) | sort -u | wc -l)" = "$candidates"

# ---- mistakes: one line that names the matter, the right status, nothing left behind
refused() { # STATUS WORDS ARGUMENTS...
    local status=$1 words=$2
    shift 2
    "$program" audition "$@" >said 2>errors
    local found=$?
    if [ $found = "$status" ] && [ "$(wc -l <errors)" = 1 ] && grep -qF -- "$words" errors && [ ! -s said ] &&
        [ ! -e out ] && [ -z "$(ls -A | grep '^\.coilwright')" ]; then
        pass
    else
        fail "audition $*: expected status $status and one line with '$words', found $found: $(cat errors)"
    fi
}
head -c 100000 take.wav >cut.wav
echo 'no sound' >text.wav
: >none.wav
echo 'no preset' >bad.ttl
refused 1 'cut.wav: cut short' --di cut.wav -o out "$full"
refused 1 'text.wav: expected WAV, FLAC or AIFF' --di text.wav -o out "$full"
refused 1 'none.wav: expected an audio file, found an empty file' --di none.wav -o out "$full"
refused 1 'gone.wav: cannot read' --di gone.wav -o out "$full"
refused 1 'expected channel 1, the only one' --di take.wav --channel 2 -o out "$full"
refused 1 'bad.ttl' --di take.wav -o out bad.ttl
refused 1 'gone.ttl' --di take.wav -o out gone.ttl
refused 1 'gone.ttl' --di take.wav --recorded gone.ttl -o out "$full"
refused 1 'take.wav: expected a directory to write, found a file' --di take.wav -o take.wav "$full"
refused 1 'no/such/place: cannot write here' --di take.wav -o no/such/place "$full"
refused 2 'expected a recording' -o out "$full"
refused 2 'expected at least one candidate' --di take.wav -o out
refused 2 'expected a directory to write' --di take.wav "$full"
refused 2 '--demo brings its own' --demo --di take.wav -o out
refused 2 '--demo brings its own' --demo -o out "$full"
refused 2 '--channel: expected a whole number' --di take.wav --channel two -o out "$full"
refused 2 'unknown option --speed' --speed -o out "$full"
refused 2 '--set: ' --di take.wav --set nonsense=1 -o out "$full"
chmod a-w empty
if [ "$(id -u)" != 0 ]; then refused 1 'cannot write here' --di take.wav -o empty/out "$full"; fi

# ---- a disk that fills up: no file may pass 1000 blocks of 1 kB
mkdir disk
(ulimit -f 1000 && "$program" audition --di take.wav --files -o disk/out "$full" >said 2>errors)
check 'a full disk is a failure' test $? = 1
check 'said in one line' bash -c '[ $(wc -l <errors) = 1 ] && grep -q "cannot write" errors'
check 'that leaves nothing behind' test -z "$(ls -A disk)"

# ---- interrupts: a long take (the phrase, many times over), stopped in the middle
{
    printf 'RIFF\xff\xff\xff\xffWAVE'
    tail -c +13 take.wav | head -c 28
    printf '\xff\xff\xff\xff'
    for i in $(seq 60); do tail -c +45 take.wav; done
} >long.wav
for signal in INT TERM HUP; do
    mkdir "stop-$signal"
    # A background job of a script ignores INT unless told otherwise.
    env --default-signal=INT "$program" audition --di long.wav -o "stop-$signal/out" "$full" "$split" "$full" "$split" \
        >said 2>errors &
    for _ in $(seq 200); do
        [ -n "$(ls -A "stop-$signal")" ] && break
        sleep 0.02
    done
    check "$signal: it is at work" test -n "$(ls -A "stop-$signal")"
    kill -$signal $!
    wait $! 2>/dev/null
    status=$?
    check "$signal ends it, status $status" test $status -gt 128
    check "$signal leaves nothing behind" test -z "$(ls -A "stop-$signal")"
    check "$signal is said in one line" grep -q 'interrupted, nothing written' errors
done

# ---- memory does not grow with the take: 11 minutes in the room that 12 seconds need
room() { bash -c 'ulimit -v "$1"; shift; "$@" >/dev/null 2>&1' - "$@"; }
limit=60000
until room $limit "$program" audition --di take.wav -o "room-$limit" "$full"; do
    limit=$((limit + 20000))
    [ $limit -lt 2000000 ] || break
done
if [ $limit -ge 2000000 ]; then # as with a sanitizer, which asks for all the address space
    skip 'memory cannot be limited here'
    counts_done
fi
check "11 minutes (95 MB) need no more than 12 s and 20 MB: $limit kB" \
    room $((limit + 20000)) "$program" audition --di long.wav -o long "$full"
check 'its page holds a minute and says so' grep -q 'this page holds the first 60.0 s' long/index.html
check 'and is not large' test "$(stat -c %s long/index.html)" -lt 7000000
# Each coil in its own place: the plugin plays what is predicted and drawn, and the splits' treble rises.
"$program" audition --demo --set string_places=on -o placed >placed.said
check "places: $(cat placed.said)" grep -q 'at most [0-9.]*e-0[6-9] dB from what the circuit' placed.said
"$program" audition --demo -o unplaced >/dev/null
check 'places change nothing' test "$(cut -d, -f2- placed/results.csv | cksum)" != "$(cut -d, -f2- unplaced/results.csv | cksum)"
counts_done
