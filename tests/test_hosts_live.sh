#!/bin/bash
# SPDX-License-Identifier: ISC
# A live host: jalv under a JACK server with the dummy driver. It takes the plugin, its controls by
# name, and its output is the tone of a JACK client at the level of the circuit.
. tests/support/counts.sh
need jackd 'the plugin is not run live' || { counts_done; }
need jalv 'the plugin is not run live' || { counts_done; }
need jack_rec 'the live output is not recorded' || { counts_done; }
need sox 'the live level is not measured' || { counts_done; }
scratch=$(mktemp -d)
finish() {
    exec 7>&-
    jack_server_end
    rm -rf "$scratch"
}
trap finish EXIT
. tests/support/jack_server.sh
jack_server_start || { counts_done; }

mkfifo "$scratch/control"
jalv -n coilwright -x -p -t urn:coilwright:voicing <"$scratch/control" >"$scratch/jalv" 2>"$scratch/jalv-errors" &
jalv=$!
clients+=($jalv)
exec 7>"$scratch/control"
if ! jack_appear coilwright:in || ! jack_appear coilwright:out; then
    tail -n 20 "$scratch/jalv" "$scratch/jalv-errors"
    fail 'jalv does not run the plugin'
    counts_done
fi
pass

jack_simple_client tone "$JACK_DEFAULT_SERVER" >"$scratch/tone" 2>&1 7>&- &
clients+=($!)
if ! jack_appear tone:output1; then
    skip 'jack_simple_client does not play: the live level is not compared'
    counts_done
fi
jack_connect tone:output1 coilwright:in >/dev/null 2>&1
# Level of a port in dB: record a second, take the RMS of its middle; until two in a row agree,
# since a busy machine drops a block now and then.
once() {
    jack_rec -f "$scratch/rec.wav" -d 1 -b 24 "$1" >/dev/null 2>&1 7>&-
    sox "$scratch/rec.wav" -n trim 0.25 0.5 stat 2>&1 | awk '/^RMS +amplitude/{ printf "%.4f", 20 * log($3) / log(10) }'
}
level() {
    before=$(once "$1")
    for _ in 1 2 3 4 5 6 7 8; do
        now=$(once "$1")
        [ "$now" = "$before" ] && break
        before=$now
    done
    echo "$now"
}
input=$(level tone:output1)
output=$(level coilwright:out)
check "the defaults change the tone live: $input dB, $output dB" \
    awk -v a="$input" -v b="$output" 'BEGIN { exit !(a > -60 && (a - b) ^ 2 < 0.001 ^ 2) }'

echo 'trim = -6' >&7
sleep 0.3
output=$(level coilwright:out)
check "a trim of -6 dB is $input dB to $output dB live" \
    awk -v a="$input" -v b="$output" 'BEGIN { exit !((a - 6 - b) ^ 2 < 0.01 ^ 2) }'

echo 'listen = 0' >&7
echo 'trim = 0' >&7
echo 'a_coils = 1' >&7
echo 'a_split = 1' >&7
echo 'a_split_keep = 0' >&7
echo 'listen = 1' >&7
sleep 0.5
echo monitors >&7
sleep 0.5
echo 'presets' >&7
sleep 0.3
exec 7>&-
for _ in $(seq 50); do kill -0 "$jalv" 2>/dev/null || break; sleep 0.1; done
check 'jalv does not end at the end of its input' bash -c "! kill -0 $jalv 2>/dev/null"
# Only now is all written that it printed.
half=$(awk '/^a_level = /{ value = $3 } END { print value }' "$scratch/jalv")
check "the level of a plain split is shown as '$half' dB live" awk -v x="$half" 'BEGIN { exit !(x < -4 && x > -8) }'
check 'jalv reports an error' bash -c "! grep -i -e error -e warning '$scratch/jalv' '$scratch/jalv-errors'"
for preset in presets/*.ttl; do
    label=$(sed -n 's/.*rdfs:label "\(.*\)".*/\1/p' "$preset" | head -n 1)
    check "jalv does not offer $preset" grep -qF "$label" "$scratch/jalv"
done
counts_done
