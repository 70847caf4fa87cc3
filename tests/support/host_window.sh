# SPDX-License-Identifier: ISC
# The plugin's own window inside a larger host, worked by pointer and keys; sourced by bash after jalv_window.sh.
#
#   host_window_begin TITLE       a display, a JACK server, a window manager and a home of its own; TITLE is part of the title
#                                 of the host's window around the plugin's. Says why not, and is false
#   window_named NAME             the first window with NAME in its title
#   wait_for SECONDS COMMAND...   until the command succeeds
#   find_window                   after the host has opened it: where it stands, and that it has its size
#   drag_cable_b FROM             cable B from so many metres to 10 m
#   name_a TEXT | press_in_window ITEM
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
# The plugin's own X window: "x y width height".
place() {
    window=$(xdotool search --name '^Coilwright$' 2>/dev/null | tail -n 1)
    [ -z "$window" ] || xwininfo -id "$window" | awk '/Absolute|Width|Height/ { print $NF }' | xargs
}
shown() { [ -n "$(place)" ]; }
find_window() {
    read -r left top width height <<<"$(place)"
    check "the window is ${width}x$height" test "$width $height" = '1120 720'
    places 1120 720
}
at_screen() { at "$1" | awk -v x="$left" -v y="$top" '{ print $1 + x, $2 + y }'; }
to_front() {
    wmctrl -a "$1"
    sleep 0.5
}
drag_cable_b() {
    to_front "$title"
    read -r low y <<<"$(at_screen b_cable_length-low)"
    read -r high _ <<<"$(at_screen b_cable_length-high)"
    metre() { awk -v a="$low" -v b="$high" -v m="$1" 'BEGIN { printf "%d", a + (b - a) * m / 30 + 0.5 }'; }
    xdotool mousemove "$(metre "$1")" "$y" mousedown 1 sleep 0.2 mousemove "$(metre 12)" "$y" sleep 0.2 \
        mousemove "$(metre 10)" "$y" sleep 0.2 mouseup 1
}
name_a() {
    xdotool mousemove $(at_screen listen-1) click 3 sleep 0.5
    type_value "$1"
    sleep 1
}
press_in_window() {
    to_front "$title"
    xdotool mousemove $(at_screen "$1") click 1 sleep 1
}
open_again() {
    kill "$1"
    wait "$1" 2>/dev/null
    "${@:2}"
}
loaded_again() {
    check 'no window is shown again' open_again "$@"
    check 'the window is not there again' wait_for 20 shown
    sleep 1 # until it is laid out
    press_in_window level_match
}
picture() {
    to_front "$title"
    import -window "$(window_named "$title")" "$pictures/$1.png"
    check "$1: the window is all one colour" test "$(identify -format '%k' "$pictures/$1.png")" -gt 100
}
changed() { join "$scratch/$1.values" "$scratch/$2.values" | awk '$2 != $3 { print $1, $3 }' | xargs; }
