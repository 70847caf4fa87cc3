#!/bin/bash
# SPDX-License-Identifier: ISC
# Takes the pictures of the window: docs/images/window-*.png. `make screenshots` calls it.
#
#   docs/screenshots.sh BUNDLE_DIRECTORY TEST_PROGRAM_DIRECTORY
#
# The real window in a real host: jalv on a virtual display, with JACK's dummy driver. Needs jackd,
# jalv.gtk3, Xvfb, xdotool and ImageMagick's import and convert; exit status 1 where one is missing.
set -e
LV2_PATH=$(realpath "$1")
export LV2_PATH
places=$2/test_ui_window
for program in jackd jalv.gtk3 Xvfb xdotool import convert; do
    command -v $program >/dev/null || { echo "screenshots: $program is not installed" >&2; exit 1; }
done
scratch=$(mktemp -d)
started=()
# The last started goes first, so that the JACK server has no client when it ends: else it now and
# then stays in JACK's register of servers, which has room for eight.
finish() {
    for ((i = ${#started[@]} - 1; i >= 0; i--)); do
        kill "${started[i]}" 2>/dev/null || true
        wait "${started[i]}" 2>/dev/null || true
    done
    rm -rf "$scratch"
}
trap finish EXIT
export JACK_DEFAULT_SERVER=coilwright-pictures-$$ JACK_NO_START_SERVER=1 HOME=$scratch
mkdir -p docs/images
jackd --no-realtime --no-mlock -n "$JACK_DEFAULT_SERVER" -d dummy -r 48000 -p 256 >/dev/null 2>&1 &
started+=($!)
mkfifo "$scratch/number"
Xvfb -displayfd 9 -screen 0 2600x1700x24 -nolisten tcp -noreset 9>"$scratch/number" 2>/dev/null &
started+=($!)
read -r -t 20 number <"$scratch/number"
export DISPLAY=:$number
timeout 20 jack_wait -w >/dev/null || { echo "screenshots: no JACK server can be started" >&2; exit 1; }

scale=1
# open SCALE CONTROL=VALUE...
open() {
    scale=$1
    shift
    arguments=()
    for control in "$@"; do arguments+=(-c "$control"); done
    echo "Xft.dpi: $((96 * scale))" >"$HOME/.Xdefaults"
    jalv.gtk3 -n coilwright -x "${arguments[@]}" urn:coilwright:voicing >/dev/null 2>&1 </dev/null &
    jalv=$!
    started+=($jalv)
    window=
    for _ in $(seq 100); do
        window=$(xdotool search --onlyvisible --name '^Coilwright$' 2>/dev/null | head -n 1) && [ -n "$window" ] && break
        sleep 0.1
    done
    [ -n "$window" ] || { echo "screenshots: the window did not open" >&2; exit 1; }
    sleep 1
}
at() { "$places" places | awk -v name="$1" -v s="$scale" '$1 == name { print s * $2, s * $3 }'; }
press() { xdotool mousemove $(at "$1") click 1; sleep 0.3; }
# shot NAME WIDTH HEIGHT: the window, in so few colours that the file stays small.
shot() {
    sleep 0.5
    import -window root -crop "$2x$3+0+0" +repage "$scratch/shot.png"
    convert "$scratch/shot.png" -strip -dither None -colors 96 -define png:compression-level=9 "docs/images/window-$1.png"
    echo "docs/images/window-$1.png"
}
finish_window() {
    kill "$jalv"
    wait "$jalv" 2>/dev/null || true
}

# Twice the cable.
open 1 b_cable_length=10
press listen-2
xdotool mousemove 530 300
shot cable 1120 720
finish_window

# A split, at the smallest size: the pages are where they are at every size, counted by Tab.
open 1 a_coils=1 b_coils=1 b_split=1 b_split_keep=40 a_cable_length=3 b_cable_length=3
press tab-2
press page-3
xdotool windowsize "$window" 720 480
sleep 0.5
xdotool mousemove 250 200
shot split 720 480
finish_window

# A winding, larger, by a list that is open.
open 1 a_coil_from=1 a_coils=1 a_gauge=42 b_coil_from=1 b_coils=1 b_gauge=43
press tab-2
xdotool key Tab Tab space
sleep 0.3
xdotool windowsize "$window" 1280 720
sleep 0.5
xdotool key Tab Tab Tab Tab Tab Tab Tab Return
shot winding 1280 720
finish_window

# Scale 2: what B changes against A.
open 2 b_cable_length=12 b_tone=4
press view-2
shot scale-2 2240 1440
finish_window
