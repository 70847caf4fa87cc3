#!/bin/bash
# SPDX-License-Identifier: ISC
# Takes made on the spot: a real JACK server on the dummy driver, in which a client of our own plays the jig and what is
# at its plug (tests/support/jack_jig.c). Judge: the circuit's impedance by NumPy. What is wrong, and what ends early, is
# one clear line and leaves nothing half-written.
. tests/support/counts.sh
program=$CW_PROGRAM
trap '' PIPE
scratch=$(mktemp -d)
finish() {
    exec 5>&-
    jack_server_drop
    rm -rf "$scratch"
}
trap finish EXIT
. tests/support/jack_server.sh

# Without a library, and in a build without the header, it is one line.
mkdir "$scratch/broken"
echo none >"$scratch/broken/libjack.so.0"
found=$(LD_LIBRARY_PATH=$scratch/broken "$program" measure --live "$scratch/x" --known-value 100k </dev/null 2>&1)
check "no library: $found" grep -q '^coilwright: \(JACK.s library cannot\|this build cannot play\)' <<<"$found"
check "no library: more than a line: $found" test "$(wc -l <<<"$found")" = 1
if [ -s "$CW_BUILD/no-jack" ]; then
    skip "$(cat "$CW_BUILD/no-jack")"
    counts_done
    exit
fi
check 'the program needs libjack to start' bash -c '! readelf -d "$1" | grep -q "NEEDED.*jack"' x "$program"

need jackd 'no take is made' || { counts_done; exit; }
found=$(JACK_DEFAULT_SERVER=coilwright-test-none "$program" measure --live "$scratch/x" --known-value 100k </dev/null 2>&1)
check "no server: $found" test "$found" = \
    'coilwright: no JACK server answers: start one, or run this through pw-jack where PipeWire is the server'
check 'no server: a directory is left' test ! -e "$scratch/x"

jig=$scratch/jack_jig
if ! ${CC:-cc} -std=c11 -D_POSIX_C_SOURCE=200809L -O2 -o "$jig" tests/support/jack_jig.c -ljack -lm; then
    fail 'the jig does not build'
    counts_done
    exit
fi
mkfifo "$scratch/keys"
measure() { # measure FOLDER ARGUMENTS...: in the background, keys by descriptor 5
    local folder=$1
    shift
    "$program" measure --live "$folder" --known-value 99.8k --seconds 2 --play jig:in --channel-1 jig:one \
        --channel-2 jig:two "$@" <"$scratch/keys" >"$scratch/out" 2>"$scratch/said" &
    measuring=$!
    exec 5>"$scratch/keys"
}
press() { echo "$1" >"$scratch/plug"; sleep 0.1; echo "${2-}" >&5; }
await() { for _ in $(seq 150); do "$@" 2>/dev/null && return 0; sleep 0.05; done; return 1; } # await COMMAND...
ended() { exec 5>&-; wait "$measuring"; }

start() { # start JIG-ARGUMENT DRIVER-ARGUMENTS...
    local how=$1
    shift
    jack_server_start -r 48000 -p 1024 "$@" || { counts_done; exit; }
    echo open >"$scratch/plug"
    "$jig" "$scratch/plug" "$how" 2>"$scratch/jig" &
    clients+=($!)
    jack_appear jig:two || fail "the jig does not come: $(cat "$scratch/jig")"
}

# A driver that does not wait as long as its blocks last: samples are lost.
start real-time -w 500
# Interrupted while it plays: nothing is left, the server goes on and has no such client any more.
measure "$scratch/cut"
press open
sleep 0.7
kill -TERM $measuring
ended
status=$?
check "interrupted: status $status" test $status = 143
check "interrupted: left $(ls -A "$scratch/cut")" test -z "$(ls -A "$scratch/cut")"
check 'the client is left in the server' await bash -c '! jack_lsp | grep -q ^coilwright'

# Samples that the server loses are noticed; a server that goes away too.
measure "$scratch/lost"
press open
for _ in 1 2 3 4; do await grep -q 'Once more\|went away' "$scratch/said" && break; done # a busy machine is slow
check "lost samples are not noticed: $(cat "$scratch/said")" grep -q 'open.wav: JACK lost samples' "$scratch/said"
press open
sleep 0.5
kill "$server"
await grep -q 'the JACK server' "$scratch/said" || fail "a dead server is not noticed: $(cat "$scratch/said")"
ended
check 'a take of a dead server is kept' test -z "$(ls -A "$scratch/lost")"
jack_server_drop

start freewheel
# All takes, then the impedance against the network, at the frequency that the bilinear transform makes of it.
measure "$scratch/takes" --check-value 22.1k -o "$scratch/z.s1p"
for step in open known check silent take; do
    press $step
    await test -e "$scratch/takes/$step.wav" || fail "$step.wav is not made: $(tail -n 3 "$scratch/said")"
done
ended
check "measure --live fails: $(tail -n 3 "$scratch/said")" test -s "$scratch/z.s1p"
check 'the check resistor is not told' grep -q 'Check: 22.1' "$scratch/said"
check 'the levels are not told' test "$(grep -c 'highest: channel 1 -6.0 dBFS' "$scratch/said")" = 4
if /usr/bin/python3 -c 'import numpy' 2>/dev/null; then
    found=$(/usr/bin/python3 - "$scratch/z.s1p" 48000 <<'PY'
import sys
import numpy as np
rate = float(sys.argv[2])
rows = np.array([[float(v) for v in line.split("!")[0].split()] for line in open(sys.argv[1]) if line[0] not in "!#"])
rows = rows[(rows[:, 0] >= 60) & (rows[:, 0] <= 15000)]
s = 2j * rate * np.tan(np.pi * rows[:, 0] / rate)
z = 1 / (1 / (8000 + 4.5 * s) + 120e-12 * s + 1 / 400e3)
ratio = (rows[:, 1] + 1j * rows[:, 2]) / z
print(f"{np.abs(20 * np.log10(np.abs(ratio))).max():.5f} {np.abs(np.degrees(np.angle(ratio))).max():.5f}")
PY
)
    echo "live: $found (dB, degrees)"
    check "live: $found, allowed 0.1 dB and 0.3 degrees" awk -v f="$found" \
        'BEGIN { split(f, v, " "); exit !(v[1] != "" && v[1] <= 0.1 && v[2] <= 0.3) }'
else
    skip 'NumPy is not here: the impedance is not judged'
fi
# The same from the files, without JACK: they are the base.
"$program" measure --open "$scratch/takes/open.wav" --known "$scratch/takes/known.wav" --known-value 99.8k --seconds 2 \
    --silent "$scratch/takes/silent.wav" -o "$scratch/again.s1p" "$scratch/takes/take.wav" 2>/dev/null
check 'from the files comes another impedance' cmp -s "$scratch/z.s1p" "$scratch/again.s1p"

# A jig that is known: only what is new is asked for; what stands there is not replaced.
measure "$scratch/takes" --open "$scratch/takes/open.wav" --known "$scratch/takes/known.wav"
ended
check "takes are replaced unasked: $(cat "$scratch/said")" grep -q 'silent.wav: is there already' "$scratch/said"
measure "$scratch/more" --open "$scratch/takes/open.wav" --known "$scratch/takes/known.wav" --silent "$scratch/takes/silent.wav"
press check
await test -e "$scratch/more/take.wav" || fail 'one take is not made'
ended
check 'more than one take is made' test "$(ls "$scratch/more")" = take.wav
check 'the result is not on standard output' grep -q '^# Hz Z RI R 1' "$scratch/out"

# Takes of an exciter coil are made likewise: three of them, and the response from the files again. What the jig has at its
# plug stands for both loads.
"$program" measure --live "$scratch/coil" --exciter --loaded-value 470p --cable 350p --seconds 2 --play jig:in \
    --channel-1 jig:one --channel-2 jig:two -o "$scratch/coil.csv" <"$scratch/keys" >"$scratch/out" 2>"$scratch/said" &
measuring=$!
exec 5>"$scratch/keys"
for step in silent:take take:open loaded:known; do
    press ${step#*:}
    await test -e "$scratch/coil/${step%:*}.wav" || fail "${step%:*}.wav is not made: $(tail -n 3 "$scratch/said")"
done
ended
check "measure --live --exciter fails: $(tail -n 3 "$scratch/said")" grep -q '^frequency_hz' "$scratch/coil.csv"
check 'what is to be plugged is not said' grep -q 'the known capacitor across the plug' "$scratch/said"
"$program" measure --exciter --loaded "$scratch/coil/loaded.wav" --loaded-value 470p --cable 350p --seconds 2 \
    --silent "$scratch/coil/silent.wav" -o "$scratch/again.csv" "$scratch/coil/take.wav"
check 'from the files comes another response' cmp -s "$scratch/coil.csv" "$scratch/again.csv"

# A take in which channel 1 hears nothing is made again; q ends, and what was made stays.
"$program" measure --live "$scratch/deaf" --known-value 99.8k --seconds 2 --play jig:in --channel-1 jig:none \
    --channel-2 jig:two <"$scratch/keys" 2>"$scratch/said" &
measuring=$!
exec 5>"$scratch/keys"
press open
await grep -q 'Once more' "$scratch/said" || fail "a deaf channel 1 is not noticed: $(cat "$scratch/said")"
check 'a deaf channel 1 is not named' grep -q 'turn the output up' "$scratch/said"
press open q
ended
check "the end is not told: $(cat "$scratch/said")" grep -q 'open.wav: ended before this take was made' "$scratch/said"
check 'a take that is no good is kept' test -z "$(ls "$scratch/deaf")"
found=$("$program" measure --live "$scratch/x" --known-value 100k --play nobody:in </dev/null 2>&1)
check "a port that is not there: $found" grep -q "found 'nobody:in', which cannot be connected" <<<"$found"

# On a terminal there are meters, while one waits and while it plays.
if /usr/bin/python3 -c 'import pty' 2>/dev/null; then
    echo open >"$scratch/plug"
    /usr/bin/python3 - "$program" "$scratch/tty" >"$scratch/screen" <<'PY'
import os, pty, sys, time
pid, terminal = pty.fork()
if pid == 0:
    os.execv(sys.argv[1], [sys.argv[1], "measure", "--live", sys.argv[2], "--known-value", "99.8k", "--seconds", "2",
                           "--play", "jig:in", "--channel-1", "jig:one", "--channel-2", "jig:two"])
seen = b""
start = time.time()
sent = 0
while time.time() - start < 20:
    try:
        seen += os.read(terminal, 4096)
    except OSError:
        break
    if sent == 0 and seen.count(b"1 [") > 1:
        os.write(terminal, b"\n")
        sent = 1
    if sent == 1 and b"Take 2 of 4" in seen and seen.endswith(b"dB "):
        os.write(terminal, b"\x03")  # Ctrl-C
        sent = 2
os.waitpid(pid, 0)
sys.stdout.buffer.write(seen)
PY
    check 'no meters are shown' grep -q '1 \[####' "$scratch/screen"
    check 'the meters do not go with the sweep' grep -q '% 1 \[' "$scratch/screen"
    check "Ctrl-C leaves $(ls -A "$scratch/tty")" test "$(ls -A "$scratch/tty")" = open.wav
fi

counts_done
