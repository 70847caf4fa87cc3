#!/bin/bash
# SPDX-License-Identifier: ISC
# The plugin's window in MusE 4 (make check-hosts), under a virtual display and a JACK server with the dummy driver: it
# opens at its size, a cable is dragged and a name typed, MusE saves; the song differs by those and nothing else, and is the
# same once it was loaded again. CW_PICTURES=DIR keeps pictures, to be looked at.
. tests/support/counts.sh
. tests/support/jalv_window.sh
. tests/support/host_window.sh
need muse 'no window is opened in MusE' || counts_done
template=/usr/share/muse/templates/default.med
[ -s $template ] || { skip 'MusE has no template of a song' && counts_done; }
host_window_begin 'Coilwright LV2' || counts_done
export XDG_RUNTIME_DIR=$HOME QT_QPA_PLATFORM=xcb
chmod 700 "$HOME"
# Its tip of the day would stand before the song when it is to be saved.
mkdir -p "$HOME/.config/MusE/MusE"
echo '<muse version="3.3"><configuration><didYouKnow>0</didYouKnow></configuration></muse>' >"$HOME/.config/MusE/MusE/MusE-seq.cfg"

# ---- a song with the plugin in the rack of its output
song=$scratch/one.med
open_as() { # nativegui|gui: which of the two windows is open
    sed -i "s|<nativegui>[^<]*</nativegui>||; s|<gui>[^<]*</gui>||; s|</plugin>|<$1>1</$1></plugin>|" "$song"
}
sed 's|<channels>2</channels>|&<plugin uri="urn:coilwright:voicing" label="Coilwright LV2" channel="2"></plugin>|; s|>44100<|>48000<|' $template >"$song"
song_window() { wmctrl -l | awk '/MusE/ && !/Coilwright/ { print $1; exit }'; }
there() { [ -n "$(window_named "$title")" ] && [ -n "$(song_window)" ]; }
muse_open() {
    open_as "$1"
    muse -j "$song" >"$scratch/muse" 2>&1 </dev/null &
    muse=$!
    started+=($muse)
    wait_for 60 there
}
# A song is saved after a change only, and MusE takes no note of one while it still starts: then there and back again.
song_saved() {
    to_front song_window
    saved "$song" 5 && return
    press_in_window level_match
    press_in_window level_match
    to_front song_window
    saved "$song" 30
}
# NAME: the song's controls, by their names, in $scratch/NAME.values; what else the plugin keeps in $scratch/NAME.state
muse_save() {
    check 'MusE does not save' song_saved
    sed -n 's/.*<control name="\([^"]*\)" val="\([^"]*\)".*/\1=\2/p' "$song" | tr ' ' '_' | tr '=' ' ' | sort >"$scratch/$1.values"
    /usr/bin/python3 -c 'import base64, re, sys, zlib
data = re.search("<customData>(.*?)</customData>", open(sys.argv[1]).read(), re.S).group(1)
sys.stdout.buffer.write(zlib.decompress(base64.b64decode(data)[4:]))' "$song" >"$scratch/$1.state"
}

# ---- its own window
if ! muse_open nativegui || ! wait_for 20 shown; then
    fail "MusE shows no window: $(tail -n 2 "$scratch/muse")"
    import -window root "$pictures/muse-none.png"
    counts_done
fi
find_window
press_in_window level_match # a song without a change is not saved
muse_save fresh
check 'level match is on' grep -q '^Level_match 1$' "$scratch/fresh.values"
check 'MusE keeps every control' test "$(wc -l <"$scratch/fresh.values")" -ge 139
drag_cable_b 5
name_a 'Tap at 49'
picture muse
muse_save dragged
check "changed were $(changed fresh dragged), not the cable of B and what is heard" \
    test "$(changed fresh dragged)" = 'B:_Cable_length 10 Listen_to 2'
check 'the name is not saved' grep -aq 'Tap at 49' "$scratch/dragged.state"
press_in_window level_match
muse_save matched
check "changed were $(changed dragged matched), not level match" test "$(changed dragged matched)" = 'Level_match 0'

# ---- loaded again, in MusE's generic view
check 'MusE shows no generic view' open_again "$muse" muse_open gui
check 'the generic view is not the plugin window' wait_for 20 generic
picture muse-generic
loaded_again "$muse" muse_open nativegui
muse_save again
check "loaded again, changed are $(changed matched again)" test "$(changed matched again)" = 'Level_match 1'
check 'the name is lost' grep -aq 'Tap at 49' "$scratch/again.state"
counts_done
