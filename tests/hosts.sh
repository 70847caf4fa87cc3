#!/bin/bash
# SPDX-License-Identifier: ISC
# The plugin in larger hosts (make check-hosts): Ardour 7 without its window makes a session, another process reads it
# and a third one exports it; what comes out is what lv2apply makes of the same controls. What cannot run is said.
. tests/support/counts.sh
skip 'Audacity: no script drives it here, see docs/hosts.md'
for program in ardour7-lua ardour7-export lv2apply lv2info sox; do
    need $program 'Ardour is not tried' || counts_done
done
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
# A home and a search path of their own: the host finds this plugin and the specifications.
bundles=$(cd "$CW_BUNDLE/.." && pwd)
mkdir "$scratch/home"
export HOME=$scratch/home LV2_PATH=$bundles:/usr/lib/lv2
ardour() { # SCRIPT: with its placeholders filled
    sed "s|CW_FOLDER|$scratch/session|; s|CW_LABELS|$scratch/labels|" "tests/support/ardour/$1.lua" >"$scratch/$1.lua"
    timeout 120 ardour7-lua "$scratch/$1.lua" >"$scratch/$1" 2>"$scratch/$1-errors"
}
for preset in "$CW_BUNDLE"/*.ttl; do
    grep -q 'a pset:Preset' "$preset" && sed -n 's/.*rdfs:label "\(.*\)".*/\1/p' "$preset" | head -n 1
done >"$scratch/labels"

# --- presets and controls
if ! ardour make; then
    tail -n 5 "$scratch/make" "$scratch/make-errors"
    fail 'Ardour makes no session'
    counts_done
fi
check 'a preset is missing' test "$(grep -c '^preset.loaded' "$scratch/make")" = "$(wc -l <"$scratch/labels")"
check 'no preset was looked for' test "$(wc -l <"$scratch/labels")" -ge 30
grep '^control' "$scratch/make" >"$scratch/set"
check 'not every control was set' test "$(wc -l <"$scratch/set")" -ge 139
check 'Ardour does not read its session' ardour read
grep '^control' "$scratch/read" >"$scratch/again"
check "controls after reopening: $(diff "$scratch/set" "$scratch/again" | head -n 4)" cmp -s "$scratch/set" "$scratch/again"
echo "Ardour: $(wc -l <"$scratch/labels") presets, $(wc -l <"$scratch/set") controls"

# --- what a session keeps beside them: names and job, given by the state that Ardour wrote, come back
state=$(find "$scratch/session/plugins" -name state.ttl | sort | tail -n 1)
# The last preset has named A already.
sed -i 's|<urn:coilwright:voicing#name_a> "[^"]*" ;||' "$state"
sed -i 's|\(<urn:coilwright:voicing#state_format> [^ ]*\)|<urn:coilwright:voicing#name_a> "Darker \\"one\\"" ;\n\t\t<urn:coilwright:voicing#job> "Order 17" ;\n\t\t\1|' "$state"
check 'the state was not changed' grep -q 'Order 17' "$state"
check 'Ardour does not read the session again' ardour read
newest=$(find "$scratch/session/plugins" -name state.ttl -printf '%T@ %p\n' | sort -n | tail -n 1 | cut -d' ' -f2-)
check 'the name is lost' grep -qF 'Darker \"one\"' "$newest"
check 'the job is lost' grep -q 'Order 17' "$newest"

# --- the sound: 48000 samples, against lv2apply with the controls that Ardour told
sox -D -r 48000 -c 1 -n -e float -b 32 "$scratch/in.wav" synth 48000s pinknoise vol 0.3 2>/dev/null
/usr/bin/python3 tests/support/ardour/add_take.py "$scratch/session" one "$scratch/in.wav" 48000
lv2info urn:coilwright:voicing | sed -n 's/^\tPort \([0-9]*\):/\1/p; s/^\t*Symbol: *//p' | paste - - >"$scratch/symbols"
controls=()
while read -r _ index value; do
    controls+=(-c "$(awk -v i="$index" '$1 == i { print $2 }' "$scratch/symbols")" "$value")
done <"$scratch/set"
check 'lv2apply' lv2apply -i "$scratch/in.wav" -o "$scratch/wanted.wav" "${controls[@]}" urn:coilwright:voicing
# The exporter of 7.3 now and then ends with a broken heap, without any plugin too: a few tries.
for try in 1 2 3 4 5 6 7 8; do
    rm -f "$scratch/out.wav"
    timeout 60 ardour7-export -b float -o "$scratch/out.wav" "$scratch/session" one >"$scratch/export" 2>&1 && break
done
check "Ardour exports: $(tail -n 2 "$scratch/export")" test -s "$scratch/out.wav"
if [ -s "$scratch/out.wav" ] && /usr/bin/python3 -c 'import scipy' 2>/dev/null; then
    check 'the export is not the sound of lv2apply' /usr/bin/python3 - "$scratch" <<'PY'
import sys
import warnings
import numpy as np
from scipy.io import wavfile
warnings.simplefilter('ignore')
folder = sys.argv[1]
got, wanted, given = (wavfile.read(folder + '/' + name)[1].astype(float) for name in ('out.wav', 'wanted.wav', 'in.wav'))
got = got[:, 0] if got.ndim > 1 else got
n = min(len(got), len(wanted), 47000)
got, wanted, given = got[:n], wanted[:n], given[:n]
gain = got @ wanted / (wanted @ wanted)
rest = 10 * np.log10(((got - gain * wanted) ** 2).sum() / (got ** 2).sum() + 1e-30)
db = 20 * np.log10(abs(gain))
print('Ardour: export %.6f dB of lv2apply, rest %.1f dB' % (db, rest))
# The plugin was heard: what goes in is something else. A panner, where the track has one, takes 3 dB.
assert n > 40000 and wanted.std() > 1e-4 and (wanted - given).std() > 0.1 * wanted.std()
assert min(abs(db), abs(db + 3)) < 6e-5 and rest < -100
PY
fi
counts_done
