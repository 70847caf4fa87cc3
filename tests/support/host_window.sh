# SPDX-License-Identifier: ISC
# The plugin's own window inside a larger host, worked by pointer and keys; sourced by bash after jalv_window.sh.
#
#   host_window_begin TITLE       a display, a JACK server, a window manager and a home of its own; TITLE is part of the title
#                                 of the host's window around the plugin's. Says why not, and is false
#   window_named NAME             the first window with NAME in its title
#   wait_for SECONDS COMMAND...   until the command succeeds
#   place                         where the plugin's own window stands: "id x y width height", nothing where there is none
#   find_window                   after the host has opened it: where it stands, and that it has its size
#   to_front COMMAND...           the window whose id the command prints has the keys
#   drag_cable_b FROM             cable B from so many metres to 10 m
#   name_a TEXT | press_in_window ITEM
#   saved FILE SECONDS            ctrl+s in the window in front, until the host has written the file
#   stand_still WINDOW            until it shows the same for a while
#   open_again PROCESS OPEN...    the host ended, and opened anew by the command
#   loaded_again PROCESS OPEN...  the host opened anew with the plugin's window, and level match turned back, for
#                                 something has to be changed to be saved
#   picture NAME                  of the host's window, in $pictures; that it is not all one colour
#   changed OLD NEW               the controls that differ between $scratch/OLD.values and $scratch/NEW.values
host_window_begin() {
    for program in wmctrl openbox xwininfo import identify; do
        need $program 'the window is not opened in a larger host' || return 1
    done
    title=$1
    jalv_window_begin || return 1
    pictures=${CW_PICTURES:-$scratch}
    mkdir -p "$pictures"
    LV2_PATH=$(cd "$CW_BUNDLE/.." && pwd):/usr/lib/lv2
    export LV2_PATH XDG_CONFIG_HOME=$HOME/.config
    openbox >"$scratch/openbox" 2>&1 &
    started+=($!)
}
window_named() { wmctrl -l 2>/dev/null | awk -v name="$1" 'index($0, name) { print $1; exit }'; }
wait_for() {
    until=$((SECONDS + $1))
    while [ $SECONDS -lt $until ]; do
        "${@:2}" && return 0
        sleep 0.2
    done
    return 1
}

# All windows, with the size and the place of each. It fails where one of them vanishes meanwhile.
windows() { xwininfo -root -tree 2>/dev/null; }
place() {
    windows | awk '$2 == "\"Coilwright\":" { split($(NF - 1), size, /[x+]/); split($NF, corner, "+")
                                             print $1, corner[2], corner[3], size[1], size[2]; exit }'
}
shown() { [ -n "$(place)" ]; }
# The host's window is there, and none of the plugin's in it.
generic() { windows >"$scratch/windows" && grep -qF "$title" "$scratch/windows" && ! grep -q '"Coilwright":' "$scratch/windows"; }
# steady COMMAND...: it says the same twice, with a while between in which the host had its turn; that is in $seen.
steady() {
    seen=$("$@")
    sleep 0.3
    [ -n "$seen" ] && [ "$seen" = "$("$@")" ]
}
look() { import -window "$1" "$scratch/look.rgb" 2>/dev/null && sha256sum <"$scratch/look.rgb"; }
stand_still() { check "$1 does not come to rest" wait_for 20 steady look "$1"; }
turned() { steady look "$window" && [ "$seen" != "$1" ]; }
# act COMMAND...: the plugin's window is still, shows something else after the command, and is still again.
act() {
    stand_still "$window"
    "$@"
    check "the window does not answer: $*" wait_for 20 turned "$seen"
}
find_window() {
    check 'the window does not come to rest' wait_for 20 steady place
    read -r window left top width height <<<"$seen"
    check "the window is ${width}x$height" test "$width $height" = '1120 720'
    places 1120 720
    stand_still "$window"
}
at_screen() { at "$1" | awk -v x="$left" -v y="$top" '{ print $1 + x, $2 + y }'; }
in_front() {
    id=$("$@")
    [ -n "$id" ] && wmctrl -i -a "$id" && [ "$(xdotool getactivewindow 2>/dev/null)" = $((id)) ]
}
to_front() { check "not in front: $*" wait_for 20 in_front "$@"; }
has_keys() { [ "$(xdotool getwindowfocus -f 2>/dev/null)" = $((window)) ]; }
drag_cable_b() {
    to_front window_named "$title"
    read -r low y <<<"$(at_screen b_cable_length-low)"
    read -r high _ <<<"$(at_screen b_cable_length-high)"
    metre() { awk -v a="$low" -v b="$high" -v m="$1" 'BEGIN { printf "%d", a + (b - a) * m / 30 + 0.5 }'; }
    xdotool mousemove "$(metre "$1")" "$y"
    stand_still "$window"
    xdotool mousedown 1
    act xdotool mousemove "$(metre 12)" "$y"
    act xdotool mousemove "$(metre 10)" "$y"
    xdotool mouseup 1
    stand_still "$window"
}
name_a() {
    xdotool mousemove $(at_screen listen-1)
    act xdotool click 3
    check 'the field has no keys' wait_for 20 has_keys
    act xdotool type --delay 30 -- "$1"
    act xdotool key Return
}
press_in_window() {
    to_front window_named "$title"
    xdotool mousemove $(at_screen "$1")
    act xdotool click 1
}
size_of() { stat -c '%s %Y' "$1"; }
saved() {
    touch "$scratch/now"
    xdotool key ctrl+s
    wait_for "$2" test "$1" -nt "$scratch/now" && wait_for 20 steady size_of "$1"
}
open_again() {
    kill "$1"
    wait "$1" 2>/dev/null
    "${@:2}"
}
loaded_again() {
    check 'no window is shown again' open_again "$@"
    find_window
    press_in_window level_match
}
picture() {
    to_front window_named "$title"
    stand_still "$(window_named "$title")"
    import -window "$(window_named "$title")" "$pictures/$1.png"
    check "$1: the window is all one colour" test "$(identify -format '%k' "$pictures/$1.png")" -gt 100
}
changed() { join "$scratch/$1.values" "$scratch/$2.values" | awk '$2 != $3 { print $1, $3 }' | xargs; }
