#!/bin/bash
# SPDX-License-Identifier: ISC
# The window in a host of other people's: jalv under a virtual display and a JACK server with the
# dummy driver. Real pointer and keys move its controls; what the plugin then reports, and what is
# heard, says that the right port was reached. A port set by the host moves the control.
. tests/support/counts.sh
. tests/support/jalv_window.sh
jalv_window_begin || counts_done
for program in jack_rec sox; do
    need $program 'the window is not worked in a host' || counts_done
done

# open CONTROL=VALUE...: jalv without its menu, with these values.
open() {
    arguments=()
    for control in "$@"; do arguments+=(-c "$control"); done
    jalv_window_open --no-menu "${arguments[@]}"
}
close() { jalv_window_close; }
places
# until_changed SYMBOL OLD: the new value, within two seconds.
until_changed() {
    for _ in $(seq 40); do
        [ "$(last "$1")" = "$2" ] || break
        sleep 0.05
    done
    sleep 0.2
    last "$1"
}
# moves SYMBOL WHAT TEST ACTION...: the action changes what the plugin reports, as the awk test on
# the old value a and the new one b says.
moves() {
    symbol=$1 what=$2 test=$3
    shift 3
    old=$(last "$symbol")
    "$@"
    new=$(until_changed "$symbol" "$old")
    check "$what: $symbol went from $old to $new" awk -v a="$old" -v b="$new" "BEGIN { exit !($test) }"
}
# A second press in the same place soon after would be a double click.
part() { sleep 0.5; }

open
check "the window does not open: $(tail -n 3 "$scratch/jalv")" test -n "$(last b_resonance)"
read -r x y <<<"$(at b_cable_length-low)"
read -r high _ <<<"$(at b_cable_length-high)"
metre() { echo $((x + ($high - x) * $1 / 30)); }

# The cable: mouse, wheel, keys. By the circuit twice the cable is three quarters of the resonance.
moves b_resonance 'dragging cable B from 5 m to 10 m' 'b < 0.85 * a && b > 0.7 * a' drag "$(metre 5)" "$y" "$(metre 10)"
moves b_resonance 'the wheel on cable B' 'b < a && b > 0.95 * a' press $(at b_cable_length) 4
moves b_resonance 'an arrow key on cable B' 'b > a && b < 1.05 * a' xdotool key Left
moves b_resonance 'a length typed with its unit' 'b > 1.2 * a' type_value '2 m'
moves b_resonance 'Ctrl+Z takes the typed length back' 'b < 0.83 * a' xdotool key ctrl+z
moves b_resonance 'Ctrl+Y sets it again' 'b > 1.2 * a' xdotool key ctrl+y
# What is edited is heard: the cable turned the panel to B.
press $(at tab-1)
sleep 0.3
# A slider.
moves a_lead_inductance 'dragging the inductance' 'b > 1.2 * a' drag $(at a_inductance) $(($(at a_inductance | cut -d' ' -f1) + 20))
part
moves a_lead_inductance 'a double click on the inductance' 'b == 4.5' xdotool mousemove $(at a_inductance) click --repeat 2 --delay 60 1
moves a_lead_inductance 'the wheel on the inductance' 'b > a && b < 1.2 * a' press $(at a_inductance) 4
moves a_lead_inductance 'a key on the inductance' 'b == 4.5' xdotool key Delete
# A list: two coils, whose hum cancels.
moves a_hum 'the wheel on the list of coils' 'a == 0 && b < -60' press $(at a_coils) 4
xdotool mousemove $(at a_coils-low)
moves a_hum 'a choice from the list of coils' 'b == 0' bash -c "xdotool mousemove $(at a_coils) click 1 key Up Return"
moves a_hum 'an arrow key on the list of coils' 'b < -60' xdotool key Right
# The split: button, wheel, key.
moves a_level 'Split A' 'a == 0 && b < -1 && b > -4' press $(at split-1)
moves a_level 'key S' 'b == 0' xdotool key s
moves a_level 'the wheel on Split A' 'b < -1 && b > -4' press $(at split-1) 4
moves b_level 'key Tab, then the space bar, is Split B' 'a == 0 && b < -1' xdotool key Tab space
# What was copied is reported alike.
moves a_resonance 'a key on cable A' 'b > a' bash -c "xdotool mousemove $(at a_cable_length) click 3; xdotool type 1; xdotool key Return"
moves b_resonance 'Copy A to B' "b == $(last a_resonance)" press $(at action-0)
moves b_resonance 'Undo of the copy, by its button' 'b < 0.95 * a' press $(at action-3)
moves b_resonance 'Redo of the copy, by its button' "b == $(last a_resonance)" press $(at action-4)
check "jalv reports an error: $(grep -i -m 2 -e error -e warning "$scratch/jalv")" bash -c "! grep -qi -e error '$scratch/jalv'"

# What is heard: a tone through jalv, B 12 dB weaker.
close
open b_sensitivity=-12
jack_simple_client tone "$JACK_DEFAULT_SERVER" >"$scratch/tone" 2>&1 &
started+=($!)
for _ in $(seq 50); do jack_lsp 2>/dev/null | grep -qx tone:output1 && break; sleep 0.1; done
if jack_connect tone:output1 coilwright:in >/dev/null 2>&1; then
    level() {
        jack_rec -f "$scratch/rec.wav" -d 1 -b 24 coilwright:out >/dev/null 2>&1
        sox "$scratch/rec.wav" -n trim 0.3 0.5 stat 2>&1 | awk '/^RMS +amplitude/{ print 20 * log($3) / log(10) }'
    }
    # heard WHAT DB: the level against that of A.
    heard() {
        now=$(level)
        check "$1: the level went from $first dB to $now dB, by $2 dB was expected" \
            awk -v a="$first" -v b="$now" -v d="$2" 'BEGIN { exit !((b - a - d) ^ 2 < 0.05 ^ 2) }'
    }
    first=$(level)
    check "a tone is heard: $first dB" awk -v a="$first" 'BEGIN { exit !(a > -60) }'
    press $(at listen-2)
    heard 'the button B' -12
    xdotool key a
    heard 'key A' 0
    press $(at listen-1) 4
    heard 'the wheel on the buttons' -12
    press $(at level_match)
    heard 'Level match' 0
    press $(at level_match) 5
    press $(at listen-1)
    press $(at trim) 5
    heard 'the wheel on the trim' -0.5
    type_value '-6 dB'
    heard 'a typed trim' -6
else
    skip 'jack_simple_client does not play: what the buttons change is not heard'
fi

# What the host sets, the window shows: the end of the cable stands at 20 m.
plug_at() {
    import -window root -crop 3x9+$(($(metre "$1") + 2))+$((y - 4)) +repage -colorspace gray -format '%[fx:100*maxima]' info: 2>/dev/null
}
check "the end of cable B does not stand at 5 m" awk -v v="$(plug_at 5)" -v w="$(plug_at 20)" 'BEGIN { exit !(v > 70 && w < 50) }'
close
open b_cable_length=20
check "the end of cable B does not stand at 20 m, where jalv put it" awk -v v="$(plug_at 20)" 'BEGIN { exit !(v > 70) }'
close

# Complete without the window: a bundle that lacks its binary is the same plugin.
cp -r "$CW_BUNDLE" "$scratch/lv2.lv2"
rm "$scratch/lv2.lv2/coilwright_ui.so"
mkdir "$scratch/lv2" && mv "$scratch/lv2.lv2" "$scratch/lv2/coilwright.lv2"
export LV2_PATH=$scratch/lv2
stdbuf -oL jalv.gtk3 --jack-name coilwright --no-menu -x -g --print-controls -c b_cable_length=10 urn:coilwright:voicing >"$scratch/jalv" 2>&1 </dev/null &
jalv=$!
started+=($jalv)
for _ in $(seq 100); do grep -q '^b_resonance = ' "$scratch/jalv" && break; sleep 0.1; done
sleep 1
check "the generic window does not open or the plugin does not run in it" \
    awk -v b="$(last b_resonance)" 'BEGIN { exit !(b > 1500 && b < 2500) }'
counts_done
