#!/bin/bash
# SPDX-License-Identifier: ISC
# match --takes on phrases that an outside program plays on two instruments whose pickups are known (NumPy:
# tests/simulate_phrases.py). CW_TAKE_PAIRS pairs (2; the campaign `make check-match` takes 40) from a seed that nothing
# was set by.
. tests/support/counts.sh
export LC_ALL=C.UTF-8
coilwright=$(realpath "$CW_PROGRAM")
pairs=${CW_TAKE_PAIRS:-2}
seed=${CW_TAKE_SEED:-20263}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
few='--gauge 42 --former dual-coil --core steel-slugs --cover none'
python=/usr/bin/python3
if ! need $python 'nothing is matched' || ! $python -c 'import numpy' 2>/dev/null; then
    skip 'NumPy is not here: nothing is matched'
    counts_done
    exit
fi
$python tests/simulate_phrases.py "$scratch" "$seed" "$pairs" || fail 'no phrases'
# shellcheck disable=SC2086
takes() { timeout 60 "$coilwright" match --takes "$@" $few; }

# refused STATUS TEXT ARGUMENTS...: that status and one line that holds TEXT.
refused() {
    local status=$1 text=$2 got
    shift 2
    takes "$@" >"$scratch/out" 2>"$scratch/err" </dev/null
    got=$?
    if [ $got = "$status" ] && [ "$(wc -l <"$scratch/err")" = 1 ] && grep -qF -- "$text" "$scratch/err" && [ ! -s "$scratch/out" ]; then
        pass
    else
        fail "match --takes $*: status $got, '$text' is not the one line: $(cat "$scratch/err")"
    fi
}

mine=$scratch/000/mine.wav theirs=$scratch/000/theirs.wav
$python - "$scratch" <<'PY'
import sys
import wave

def write(name, channels, data):
    with wave.open(f"{sys.argv[1]}/{name}.wav", "wb") as out:
        out.setnchannels(channels)
        out.setsampwidth(2)
        out.setframerate(44100)
        out.writeframes(data)

write("silent", 1, bytes(2 * 44100 * 3))
write("short", 1, bytes(2 * 441))
with wave.open(f"{sys.argv[1]}/000/theirs.wav") as read:
    mono = read.readframes(read.getnframes())
write("two", 2, b"".join(mono[i : i + 2] + b"\0\0" for i in range(0, len(mono), 2)))
PY
refused 2 'found 1 file' "$mine"
refused 2 'found 3 files' "$mine" "$theirs" "$theirs"
refused 1 'nowhere.wav' "$mine" "$scratch/nowhere.wav"
refused 1 'bands of both recordings, found 0' "$mine" "$scratch/silent.wav"
refused 1 'short.wav' "$mine" "$scratch/short.wav"
refused 1 'two.wav' "$mine" "$scratch/two.wav"
refused 1 'docs/match.md' docs/match.md "$theirs"

# ---- what was planted
held=0
for ((i = 0; i < pairs; i++)); do
    here=$scratch/$(printf %03d "$i")
    takes "$here/mine.wav" "$here/theirs.wav" >"$here/said" 2>&1 || fail "$here: $(cat "$here/said")"
    # "resonance 2.15 kHz (1.98 kHz to 2.50 kHz), ... inductance 7.90 H (5.73 to 9.28"
    sed -n 's/.*resonance [0-9.]* kHz (\([0-9.]*\) kHz to \([0-9.]*\) kHz).*inductance [0-9.]* H (\([0-9.]*\) to \([0-9.]*\).*/\1 \2 \3 \4/p' <<<"$(tr '\n' ' ' <"$here/said")" >"$here/told"
    read -r low high least most <"$here/told" || fail "nothing is told: $(cat "$here/said")"
    IFS=, read -r henry hz <"$here/truth.csv"
    awk -v l="$low" -v h="$high" -v a="$least" -v b="$most" -v henry="$henry" -v hz="$hz" \
        'BEGIN { exit !(l * 1000 <= hz && hz <= h * 1000 && a <= henry && henry <= b) }' && held=$((held + 1))
    # the interval is no formality: it is wide, and says something
    check 'the interval is not one of some tens of percent' awk -v l="$low" -v h="$high" 'BEGIN { exit !(h > 1.1 * l && h < 1.9 * l) }'
done
echo "held the planted inductance and resonance: $held of $pairs"
check "intervals held $held of $pairs" awk -v h="$held" -v n="$pairs" 'BEGIN { exit !(h >= 0.9 * n) }'
flat=$(tr '\n' ' ' <"$scratch/000/said")
check 'it is not said how little it proves' grep -q 'How little this proves' <<<"$flat"
check 'what says more is not named' grep -q 'measure' <<<"$flat"
"$coilwright" match --takes "$mine" "$theirs" --gauge 42,43 --former dual-coil --coils 'two in series' --list 9 >"$scratch/list"
check 'candidates nearer than the takes tell are not equal' grep -qE '^ +[2-9]  += ' "$scratch/list"

# ---- the same recording twice is the same pickup; a stereo file by its channel; the values of mine count
takes "$mine" "$mine" | tr '\n' ' ' >"$scratch/same"
check 'the same recording is another pickup' grep -q 'inductance 4.50 H' "$scratch/same"
check 'a channel is not taken' grep -q 'resonance' <<<"$(takes "$mine" "$scratch/two.wav" --channel 1 2>&1)"
"$coilwright" new --inductance 3 -o "$scratch/mine.ttl" >/dev/null
takes "$mine" "$mine" --base "$scratch/mine.ttl" | tr '\n' ' ' >"$scratch/same"
check 'what mine is does not count' grep -q 'inductance 3.00 H' "$scratch/same"
takes "$mine" "$mine" --set inductance=2 | tr '\n' ' ' >"$scratch/same"
check '--set does not count' grep -q 'inductance 2.00 H' "$scratch/same"
check 'CSV is not CSV alone' grep -q '^rank,\|^[a-z]*,' <<<"$(takes "$mine" "$theirs" --csv | head -1)"
counts_done
