#!/bin/bash
# SPDX-License-Identifier: ISC
# A session in the window (make check-hosts): jalv with its menu, under a virtual display, worked by pointer and keys.
# What was done is read from the session that jalv saves: every control input, and the words. What was to change did, to
# that value, and nothing else. CW_PICTURES=DIR keeps pictures of the window, to be looked at.
. tests/support/counts.sh
. tests/support/jalv_window.sh
for program in compare identify xwininfo join; do
    need $program 'no session is worked in the window' || counts_done
done
jalv_window_begin || counts_done
pictures=${CW_PICTURES:-$scratch}
mkdir -p "$pictures"

# ---- saving, by jalv's menu ------------------------------------------------------------------
window_of() { xdotool search --name "$1" 2>/dev/null | head -n 1; }
# try_save NAME PAUSE: through jalv's dialog, in the session's folder of that name. Keys go to what lies under the
# pointer: the menu bar, then the dialog.
try_save() {
    xdotool mousemove 620 12 windowfocus "$(window_of '^Coilwright$')"
    sleep "$2"
    xdotool key ctrl+s
    for _ in $(seq 100); do [ -n "$(window_of '^Save State$')" ] && break; sleep 0.05; done
    xdotool windowfocus "$(window_of '^Save State$')" 2>/dev/null || return 1
    sleep "$2"
    xdotool type --delay 5 "$scratch/$1"
    for _ in $(seq 20); do
        sleep 0.3
        [ -f "$scratch/$1/state.ttl" ] && return 0
        xdotool key Return
    done
    xdotool key Escape
    sleep 1
    return 1
}
# save NAME: the session, in $scratch/NAME; its values in $scratch/NAME.values, a control a line.
save() {
    if ! try_save "$1" 0.3 && ! try_save "$1" 1 && ! try_save "$1" 3; then
        fail "jalv does not save: $(tail -n 2 "$scratch/jalv")"
        counts_done
    fi
    sleep 0.2
    awk '$1 == "lv2:symbol" { gsub(/"/, "", $2); symbol = $2 } $1 == "pset:value" { print symbol, $2 + 0 }' \
        "$scratch/$1/state.ttl" | sort >"$scratch/$1.values"
}
value() { awk -v name="$2" '$1 == name { print $2 }' "$scratch/$1.values"; }
# word NAME KEY: a text of the session.
word() { sed -n "s/^.*#$2> \"\(.*\)\"[ ;]*$/\1/p" "$scratch/$1/state.ttl"; }
# The lines of the notes, with a bar between them.
notes() { awk '/#notes> """/ { on = 1; sub(/.*"""/, "") } on { text = text (text == "" ? "" : "|") $0 }
               on && /"""/ { sub(/""".*/, "", text); on = 0 } END { print text }' "$scratch/$1/state.ttl"; }
# became WHAT OLD NEW [SYMBOL VALUE]...: these controls, and no other, differ between two sessions, and have these values.
became() {
    what=$1 old=$2 new=$3
    shift 3
    printf '%s %s\n' "$@" | grep '[^ ]' | sort >"$scratch/wanted"
    join "$scratch/$old.values" "$scratch/$new.values" | awk '$2 != $3 { print $1, $3 }' >"$scratch/found"
    check "$what: changed were $(tr '\n' ' ' <"$scratch/found"), not $(tr '\n' ' ' <"$scratch/wanted")" \
        awk 'function near(a, b) { return (a - b) ^ 2 <= (1e-5 * b) ^ 2 + 1e-12 }
             NR == FNR { want[$1] = $2; left++; next }
             { if ($1 in want && near($2, want[$1])) left--; else bad = 1 } END { exit bad || left }' \
        "$scratch/wanted" "$scratch/found"
}
picture() { import -window "$(xdotool search --name '^Coilwright$' | tail -n 1)" "$pictures/$1.png"; }
# Where things stand, below jalv's menu.
below=25
map() {
    places 1120 720 "$@"
    awk -v by=$below '{ print $1, $2, $3 + by }' "$scratch/places" >"$scratch/moved" && mv "$scratch/moved" "$scratch/places"
}
settle() { sleep "${1:-0.5}"; }

jalv_window_open
map
size=$(xwininfo -id "$(xdotool search --name '^Coilwright$' | tail -n 1)" | awk '/Absolute.*Y:|Width|Height/ { print $NF }' | xargs)
check "jalv gives the window its size, below a menu of $below: $size" test "$size" = "$below 1120 720"
save fresh
check 'jalv keeps every control input' test "$(wc -l <"$scratch/fresh.values")" = "$(grep -c 'a lv2:InputPort *, *lv2:ControlPort\|lv2:InputPort,lv2:ControlPort' "$CW_BUNDLE/coilwright.ttl")"

# ---- a name ----------------------------------------------------------------------------------
press $(at listen-1) 3
type_value 'Tap at 49 %, job 12'
settle
save named
became 'a name' fresh named
check "A is called '$(word named name_a)'" test "$(word named name_a)" = 'Tap at 49 %, job 12'

# ---- job and notes ---------------------------------------------------------------------------
press $(at page-8)
map job
settle 0.3
press $(at words-3)
type_value 'Order 17'
press $(at words-4)
xdotool type --delay 30 'Dark'
xdotool key shift+Return
type_value 'Try 6.8k'
settle
picture job
save job
became 'job and notes' named job
check "the job is '$(word job job)'" test "$(word job job)" = 'Order 17'
check "the notes are '$(notes job)'" test "$(notes job)" = 'Dark|Try 6.8k'
xdotool key ctrl+z
settle
save no_notes
check "the notes are taken back: '$(notes no_notes)'" test -z "$(notes no_notes)"
xdotool key ctrl+y
map
press $(at page-0)

# ---- undo and redo; what is turned is heard ---------------------------------------------------
low=$(at b_cable_length-low) high=$(at b_cable_length-high)
metre() { echo $((${low% *} + (${high% *} - ${low% *}) * $1 / 30)); }
drag "$(metre 5)" "${low#* }" "$(metre 10)"
settle
save cable
became 'cable B dragged to 10 m' job cable b_cable_length 10 listen 2
press $(at action-3)
settle
save undone
became 'undo of it' cable undone b_cable_length 5
press $(at action-4)
settle
save redone
became 'redo of it' undone redone b_cable_length 10

# ---- linked and unlinked ----------------------------------------------------------------------
press $(at tab-1)
settle
press $(at a_inductance) 4
settle
save linked
more=$(value linked a_inductance)
became 'the panel of A, and A is heard' redone linked listen 1 a_inductance "$more"
press $(at link-0)
settle
press $(at listen-2)
settle
press $(at a_inductance) 5
settle
save unlinked
became 'unlinked: B is heard and A is turned' linked unlinked listen 2 a_inductance 4.5
press $(at link-0)
settle
press $(at a_inductance) 4
settle
save joined
became 'joined again: what is turned is B' unlinked joined b_inductance "$more"

# ---- a split for 75 % -------------------------------------------------------------------------
press $(at tab-1)
settle
press $(at a_coils) 4
settle
press $(at page-4)
settle
save series
became 'two coils in series' joined series listen 1 a_coils 1
map split
press $(at action-5)
settle 2
picture search
"$CW_PROGRAM" split "$scratch/series/state.ttl#a" --level 75 --reduce either --csv >"$scratch/splits.csv" 2>"$scratch/splits.txt"
# The program's second answer beside the full pickup: "COLUMN of the table", as the window takes it over.
answer() { awk -F, -v row=5 -v column="$1" 'NR == row { print $column }' "$scratch/splits.csv"; }
check "the program finds splits: $(head -n 1 "$scratch/splits.txt")" test "$(answer 4)" = yes
press $(at search-row-1)
settle
save split
by=$(value split a_split_by)
wanted=(a_split 1)
[ "$by" = "$(value series a_split_by)" ] || wanted+=(a_split_by "$by")
[ "$(answer 3)" = 'coil two' ] || wanted+=(a_split_coil 1)
for part in 'a_split_keep 6' 'a_split_resistor 7' 'a_split_capacitor 8'; do
    [ -z "$(answer "${part#* }")" ] || [ "$(answer "${part#* }")" = "$(value series "${part% *}")" ] ||
        wanted+=("${part% *}" "$(answer "${part#* }")")
done
became 'the second answer taken over' series split "${wanted[@]}"
check "it keeps $(last a_level) dB" awk -v x="$(last a_level)" 'BEGIN { exit !((x + 2.5) ^ 2 < 0.6 ^ 2) }'
xdotool key ctrl+z
settle
save back
became 'undo of the whole answer' series back
press $(at search-row-1)
settle
press $(at search-close)
settle

# ---- a blind choice ---------------------------------------------------------------------------
settle
save before
press $(at blind-0)
map blind
settle
picture blind-start
press $(at blind-1)
map trial
for_a=0
for trial in 1 2 3 4 5 6 7 8; do
    settle 0.3
    press $(at blind-6)
    settle 0.3
    save "x$trial"
    x=$(value "x$trial" listen)
    check "trial $trial: X is $x, matched" test "$(value "x$trial" level_match)$(value "x$trial" enabled)" = 11 -a "$x" != 0
    press $(at blind-7)
    settle 0.3
    if [ $trial = 1 ]; then
        save y1
        check 'Y is the other one' test $(($(value y1 listen) + x)) = 3
        picture blind-trial
    fi
    choice=$((8 + (trial > 6)))
    press $(at blind-$choice)
    settle 0.3
    if [ $trial = 1 ]; then
        save between
        check 'between trials the recording is heard' test "$(value between listen)" = 0
    fi
    [ $(((choice == 8) == (x == 1))) = 0 ] || for_a=$((for_a + 1))
done
xdotool mousemove 20 700
settle
picture tally
"$CW_BUILD/tests/test_ui_window" tally 1120 720 8 $for_a "$scratch/wanted.png"
off=$(compare -metric AE "$pictures/tally.png" "$scratch/wanted.png" null: 2>&1)
check "the tally of 8, $for_a for A, is not what the window shows: $off pixels differ" test "$off" = 0
"$CW_BUILD/tests/test_ui_window" tally 1120 720 8 $(((for_a + 1) % 9)) "$scratch/other.png"
check 'another tally would be seen' test "$(compare -metric AE "$pictures/tally.png" "$scratch/other.png" null: 2>&1)" -gt 20
press $(at blind-10)
settle
save after
became 'after the blind choice all is as before' before after

# ---- the large view ---------------------------------------------------------------------------
press $(at link-0) && xdotool key l
settle
map large
low=$(at a_cable_length-low) high=$(at a_cable_length-high)
drag "$(metre 5)" "${low#* }" "$(metre 20)"
settle
picture large
save large
became 'cable A in the large view' after large a_cable_length 20
xdotool mousemove 300 300 key l
settle
map

# ---- closed and loaded ------------------------------------------------------------------------
jalv_window_close
jalv_window_open -l "$scratch/large"
save again
became 'loaded again' large again
check "the notes are still '$(notes again)'" test "$(notes again)" = 'Dark|Try 6.8k'
check "A is still called '$(word again name_a)'" test "$(word again name_a)" = "$(word named name_a)"
jalv_window_close

# ---- pictures at other sizes ------------------------------------------------------------------
shot() { # NAME WIDTH HEIGHT: without jalv's menu
    xdotool windowsize "$(window_of '^Coilwright$')" "$2" "$3"
    settle 1
    picture "$1"
    size=$(identify -format '%wx%h' "$pictures/$1.png")
    check "the window follows to $2x$3: $size" test "$size" = "$2x$3"
}
jalv_window_open --no-menu -l "$scratch/large"
places
press $(at page-8)
xdotool windowsize "$(window_of '^Coilwright$')" 720 480
settle 1
picture job-720x480
places 720 480
press $(at page-0)
shot 720x480 720 480
shot 1280x720 1280 720
shot 1920x1080 1920 1080
xdotool mousemove 300 300 key l
settle
shot large-1920x1080 1920 1080
jalv_window_close
echo 'Xft.dpi: 192' >"$HOME/.Xdefaults"
jalv_window_open --no-menu -l "$scratch/large"
picture scale-2
size=$(identify -format '%wx%h' "$pictures/scale-2.png")
check "at scale 2 the window is $size" test "$size" = 2240x1440
jalv_window_close
counts_done
