# SPDX-License-Identifier: ISC
# The plugin's window in jalv, under a virtual display and a JACK server with the dummy driver; sourced by bash after
# counts.sh.
#
#   jalv_window_begin            makes $scratch and starts both; says why not, and is false
#   jalv_window_open ARGUMENT... jalv.gtk3 with these; waits for the window. Its output: $scratch/jalv
#   jalv_window_close
#   places [ARGUMENT...]         reads where things stand (tests/test_ui_window.c); at NAME: "x y" of one
#   last SYMBOL                  the value of an output that the plugin reported last
#   drag X Y X2 | press X Y [BUTTON] | type_value TEXT
started=()
# The last started goes first, so that the JACK server has no client when it ends: else it now and
# then stays in JACK's register of servers, which has room for eight.
jalv_window_end() {
    for ((i = ${#started[@]} - 1; i >= 0; i--)); do
        kill "${started[i]}" 2>/dev/null || true
        wait "${started[i]}" 2>/dev/null || true
    done
    rm -rf "$scratch"
}

jalv_window_begin() {
    for program in jackd jalv.gtk3 Xvfb xdotool import stdbuf; do
        need $program 'the window is not worked in a host' || return 1
    done
    scratch=$(mktemp -d)
    trap jalv_window_end EXIT
    export JACK_DEFAULT_SERVER=coilwright-ui-$$ JACK_NO_START_SERVER=1 HOME=$scratch
    jackd --no-realtime --no-mlock -n "$JACK_DEFAULT_SERVER" -d dummy -r 48000 -p 256 >"$scratch/jackd" 2>&1 &
    started+=($!)
    mkfifo "$scratch/number"
    Xvfb -displayfd 9 -screen 0 2400x1600x24 -nolisten tcp -noreset 9>"$scratch/number" 2>/dev/null &
    started+=($!)
    read -r -t 20 number <"$scratch/number"
    if [ -z "$number" ] || ! timeout 20 jack_wait -w >/dev/null 2>&1; then
        skip 'no virtual display or no JACK server can be started here'
        return 1
    fi
    export DISPLAY=:$number
}

jalv_window_open() {
    : >"$scratch/jalv"
    stdbuf -oL jalv.gtk3 --jack-name coilwright -x --print-controls "$@" urn:coilwright:voicing >"$scratch/jalv" 2>&1 </dev/null &
    jalv=$!
    started+=($jalv)
    for _ in $(seq 100); do
        grep -q '^b_resonance = ' "$scratch/jalv" && xdotool search --name '^Coilwright$' >/dev/null 2>&1 && break
        sleep 0.1
    done
    sleep 0.5
}

jalv_window_close() {
    kill "$jalv"
    wait "$jalv" 2>/dev/null
}

places() { "$CW_BUILD/tests/test_ui_window" places "$@" >"$scratch/places"; }
at() { awk -v name="$1" '$1 == name { print $2, $3 }' "$scratch/places"; }
last() { sed -n "s/^$1 = //p" "$scratch/jalv" | tail -n 1; }
drag() { xdotool mousemove $1 $2 mousedown 1 mousemove $(($1 + ($3 - $1) / 2)) $2 mousemove $3 $2 mouseup 1; }
press() { xdotool mousemove $1 $2 click "${3:-1}"; }
type_value() { LC_ALL=C.UTF-8 xdotool type --delay 30 -- "$1"; xdotool key Return; }
