#!/bin/bash
# SPDX-License-Identifier: ISC
# The listening page in a real browser (headless Chromium): what sounds, what the keys do, what cannot be
# injected, how it fits. Recordings are made by SoX.
. tests/support/counts.sh
program=$(realpath "${CW_PROGRAM:-build/coilwright}")
presets=$(realpath presets)
check_pages=$(realpath tests/support/page_check.mjs)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

need node 'the page is not run' && need chromium 'the page is not run' && need sox 'no recordings for the page' || counts_done

cd "$scratch" || exit 2
recorded=$presets/recorded-through-bench-guitar.ttl
full=$presets/job-12-full.ttl
audition() { "$program" audition "$@" >/dev/null || fail "audition $*"; }
label() { sed "0,/rdfs:label \"[^\"]*\"/s//rdfs:label \"$1\"/" "$2"; }

# A candidate equal to what the recording went through gives the recording back: it loops as that does.
sed 's/"rec_/"a_/' "$recorded" | label Same /dev/stdin >same.ttl
label Twin same.ttl >twin.ttl
sox -D -n -r 48000 -b 24 -c 1 sine.wav synth 48000s sine 480 vol 0.4
sox -D -R -n -r 48000 -b 24 -c 1 pink.wav synth 48000s pinknoise vol 0.5
for kind in sine pink; do audition --di $kind.wav --recorded "$recorded" --files --float -o $kind same.ttl twin.ttl; done

# A take that starts and ends anywhere, through different candidates.
sox -D -R -n -r 48000 -b 24 -c 1 take.wav synth 2 pluck 110 vol 0.5 trim 4800s 48000s
audition --di take.wav --recorded "$recorded" --files --float -o mixed "$full" "$presets/job-12-plain-split.ttl" "$presets/dark-coil.ttl"
(cd mixed/true-level && ls | sed 's/\.wav$//; s/.*/"&"/' | paste -sd, | sed 's/.*/[&]/') >mixed/names.json

many=()
for i in $(seq 200); do label "Candidate $i" "$full" >"many-$i.ttl" && many+=("many-$i.ttl"); done
audition --di take.wav --recorded "$recorded" -o many "${many[@]}"

# Ten minutes: the page holds the first of them.
sox -D -R -n -r 16000 -b 16 -c 1 long.wav synth 600 pinknoise vol 0.3
audition --di long.wav -o long "$full" "$presets/dark-coil.ttl"

# Labels and comments that would be markup, script, our own template, or the end of ours.
label '<script>window.pwned=1<\/script>' "$full" >h1.ttl
label '<\/script><img src=x onerror=window.pwned=1>' "$full" >h2.ttl
label "' onclick='window.pwned=1' {{script}} <!-- ]]> \&amp;" "$full" >h3.ttl
label '\\u2028<iframe src=javascript:window.pwned=1><\/iframe><b style=color:red>' "$full" >h4.ttl
cp take.wav '<img src=x onerror=window.pwned=1>.wav'
audition --di '<img src=x onerror=window.pwned=1>.wav' --recorded "$recorded" -o hostile h1.ttl h2.ttl h3.ttl h4.ttl

audition --demo -o demo
# Eight candidates of ten seconds of a real guitar.
samples=/usr/share/sonic-pi/samples
if [ -e $samples/guit_e_slide.flac ]; then
    for name in e_fifths em9 e_slide harmonics; do sox -D $samples/guit_$name.flac -c 1 -r 48000 -b 24 $name.wav remix 1; done 2>/dev/null
    sox -D e_fifths.wav em9.wav e_slide.wav harmonics.wav real.wav gain -n -3 trim 0 10
    audition --di real.wav --recorded "$recorded" -o real "$presets"/job-12-{full,plain-split,tapped-split,resistor-split,capacitor-split,parallel,short-cable,long-cable}.ttl
    size=$(stat -c %s real/index.html)
    check "eight candidates of a real 10 s recording make at most 7 MB: $size" test "$size" -le 7000000
else
    skip 'no recording of a real guitar: the size of its page is not measured'
fi
timeout -k 5 300 node "$check_pages" "$scratch" >said 2>&1
counted said "the browser's run"

counts_done
