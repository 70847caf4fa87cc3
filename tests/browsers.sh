#!/bin/bash
# SPDX-License-Identifier: ISC
# The long form of tests/test_page.sh and test_live.sh: the pages in Firefox and WebKitGTK, and in Chromium on a sound
# device of another rate (PulseAudio's null sink). make check-browsers runs it; it ends with 'N passed, N failed'.
. tests/support/counts.sh
. tests/support/live_native.sh
program=$(realpath "${CW_PROGRAM:-build/coilwright}")
presets=$(realpath presets)
support=$(realpath tests/support)
scratch=$(mktemp -d)
server=
trap '[ -z "$server" ] || kill "$server"; rm -rf "$scratch"' EXIT
need node 'no browser is driven' && need sox 'no recordings for the pages' || counts_done
native=$scratch/native
live_native "$native" || fail 'the core does not compile for this machine'
cd "$scratch" || exit 2
recorded=$presets/recorded-through-bench-guitar.ttl
sed 's/"rec_/"a_/; 0,/rdfs:label "[^"]*"/s//rdfs:label "Same"/' "$recorded" >same.ttl
sox -D -n -r 48000 -b 24 -c 1 sine.wav synth 48000s sine 480 vol 0.4
sox -D -R -n -r 48000 -b 24 -c 1 pink.wav synth 48000s pinknoise vol 0.5
sox -D -R -n -r 48000 -b 24 -c 1 white.wav synth 48000s whitenoise vol 0.3
for kind in sine pink white; do
    "$program" audition --di $kind.wav --recorded "$recorded" --files --float -o $kind same.ttl same.ttl >/dev/null || fail "audition $kind"
done

"$program" audition --demo --live -o demo >/dev/null || fail 'no live page'

# count SCRIPT: what a browser's run says and counts.
count() {
    timeout -k 5 120 node --experimental-websocket --no-warnings "$support/$1" "$scratch" "$native" >said 2>&1
    counted said "$1"
}
need firefox-esr 'the second engine is not tried' && count firefox_check.mjs
if need WebKitWebDriver 'the third engine is not tried' && need Xvfb 'the third engine is not tried'; then
    Xvfb -displayfd 9 -screen 0 1280x900x24 -nolisten tcp 9>number 2>/dev/null &
    screen=$!
    for _ in $(seq 100); do [ -s number ] && break; sleep 0.1; done
    DISPLAY=:$(cat number) count webkit_check.mjs
    kill "$screen"
fi
if need pulseaudio 'no device of another rate' && need parec 'no device of another rate' && need chromium 'no device of another rate'; then
    export XDG_RUNTIME_DIR=$scratch
    printf 'load-module module-native-protocol-unix\nload-module module-null-sink sink_name=out rate=44100 channels=2 format=float32le\n' >pulse.conf
    HOME=$scratch pulseaudio -n -F pulse.conf --exit-idle-time=-1 --daemonize=no >pulse.log 2>&1 &
    server=$!
    for _ in $(seq 50); do HOME=$scratch pactl info >/dev/null 2>&1 && break; sleep 0.1; done
    HOME=$scratch count device_check.mjs
fi
counts_done
