#!/bin/bash
# SPDX-License-Identifier: ISC
# The plugin's window in Ardour 7 (make check-hosts), under a virtual display and a JACK server with the dummy driver: it
# opens at its size, a cable is dragged and a name typed, Ardour saves; the session differs by those and nothing else, and
# is the same once it was loaded again. CW_PICTURES=DIR keeps pictures, to be looked at.
. tests/support/counts.sh
. tests/support/jalv_window.sh
. tests/support/host_window.sh
for program in ardour ardour7-lua; do
    need $program 'no window is opened in Ardour' || counts_done
done
host_window_begin 'mono: Coilwright' || counts_done

# ---- a session with the plugin on a track, its window open
echo 'Winding order 22: single coil' >"$scratch/labels"
sed "s|CW_FOLDER|$scratch/session|; s|CW_LABELS|$scratch/labels|" tests/support/ardour/make.lua >"$scratch/make.lua"
timeout 120 ardour7-lua "$scratch/make.lua" >"$scratch/make" 2>"$scratch/make-errors"
session=$scratch/session/one.ardour
check 'Ardour makes no session' test -s "$session"
[ -s "$session" ] || counts_done

there() { [ -n "$(window_named "$title")" ] && [ -n "$(window_named 'one - Ardour')" ]; }
# Questions at the start have one answer: that the sound device is another.
there_at_last() {
    there && return 0
    [ -z "$(window_named '')" ] || xdotool key Return
    sleep 1
    return 1
}
ardour_open() { # 0|1: generic or own
    /usr/bin/python3 tests/support/ardour/show.py "$scratch/session" one "$HOME" "$1" || return 1
    ardour --no-splash "$session" >"$scratch/ardour" 2>&1 </dev/null &
    ardour=$!
    started+=($ardour)
    wait_for 60 there_at_last
}
ardour_save() { # NAME: its session's controls in $scratch/NAME.values
    to_front window_named 'one - Ardour'
    check 'Ardour does not save' saved "$session" 30
    sed -n 's/.*<Port symbol="\([^"]*\)" value="\([^"]*\)".*/\1 \2/p' "$session" | sort >"$scratch/$1.values"
}
state() { find "$scratch/session/plugins" -name state.ttl -printf '%T@ %p\n' | sort -n | tail -n 1 | cut -d' ' -f2-; }
# ---- its own window
if ! ardour_open 1 || ! wait_for 20 shown; then
    fail "Ardour shows no window: $(tail -n 2 "$scratch/ardour")"
    import -window root "$pictures/ardour-none.png"
    counts_done
fi
find_window
ardour_save fresh
check 'Ardour keeps every control' test "$(wc -l <"$scratch/fresh.values")" -ge 139
drag_cable_b "$(awk '$1 == "b_cable_length" { print $2 }' "$scratch/fresh.values")"
name_a 'Tap at 49'
picture ardour
ardour_save dragged
check "changed were $(changed fresh dragged), not the cable of B and what is heard" \
    test "$(changed fresh dragged)" = 'b_cable_length 10 listen 2'
check 'the name is not saved' grep -q 'voicing#name_a> "Tap at 49"' "$(state)"
press_in_window level_match
ardour_save matched
check "changed were $(changed dragged matched), not level match" test "$(changed dragged matched)" = 'level_match 1'

# ---- loaded again, in Ardour's generic view
check 'Ardour shows no generic view' open_again "$ardour" ardour_open 0
check 'the generic view is not the plugin window' wait_for 20 generic
picture ardour-generic
loaded_again "$ardour" ardour_open 1
ardour_save again
check "loaded again, changed are $(changed matched again)" test "$(changed matched again)" = 'level_match 0'
check 'the name is lost' grep -q 'voicing#name_a> "Tap at 49"' "$(state)"
counts_done
