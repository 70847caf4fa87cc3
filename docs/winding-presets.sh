#!/bin/sh
# SPDX-License-Identifier: ISC
# Makes the presets of the winding bench: presets/winding-*.ttl.
#
#   docs/winding-presets.sh [PROGRAM [DIRECTORY]]      default: build/coilwright presets
set -e
cd "$(dirname "$0")/.."
program=${1:-build/coilwright}
out=${2:-presets}

new() {
    name=$1
    shift
    "$program" new -f -o "$out/winding-$name.ttl" "$@" >/dev/null
}

# Two orders on one bench. Order 21 is a dual-coil pickup, order 22 a single coil on magnet rods.
new order-21 -l 'Winding order 21: dual coil' \
    -c 'Two coils of 5000 turns of AWG 42 on dual-coil bobbins, steel slugs, a bar of alnico 5, paraffin: the order as it was placed. Nothing is wound yet; the figures carry the uncertainty of the model.' \
    --coils 'two in series' --turns 5000 --gauge 42 --core 'steel slugs' --magnet 'alnico 5' --potting paraffin
new order-22 -l 'Winding order 22: single coil' \
    -c '7800 turns of AWG 42 on a tall narrow bobbin round rods of alnico 5, paraffin, 250 kohm controls: the order as it was placed.' \
    --turns 7800 --gauge 42 --former 'tall narrow bobbin' --core 'magnet rods' --magnet 'alnico 5' --potting paraffin \
    --volume-pot 250k --tone-pot 250k

dual=$out/winding-order-21.ttl
single=$out/winding-order-22.ttl
new compare-gauge -l 'Winding: 42 or 43, same turns' \
    -c 'The same turns in AWG 43: a quarter more ohm, a little more inductance. Ohm alone do not make a coil louder: listen for what changes, and then for how little.' \
    --base "$dual" --against "$dual" --gauge 43
new compare-gauge-full -l 'Winding: 42, or a full bobbin of 43' \
    -c 'AWG 43 lets more turns on the same bobbin: 6700 against 5000. Louder and darker: it is the turns that are heard.' \
    --base "$dual" --against "$dual" --gauge 43 --turns 6700
new compare-turns -l 'Winding: order 22, 7800 or 6800 turns' \
    -c 'A thousand turns fewer: less level, the resonance higher.' \
    --base "$single" --against "$single" --turns 6800
new compare-magnet -l 'Winding: rods of alnico 5 or 3' \
    -c 'Alnico 3 works at a lower flux density, and its higher recoil permeability raises the inductance a little. Switch level matching on to hear what is left besides the level.' \
    --base "$single" --against "$single" --magnet 'alnico 3'
new compare-potting -l 'Winding: paraffin or beeswax' \
    -c 'A few picofarad. If the two can be told apart, something else differs.' \
    --base "$single" --against "$single" --potting beeswax
new compare-unpotted -l 'Winding: in paraffin, or not potted' \
    -c 'What the wax does to the capacitance. What it does to a coil that picks up knocks and squeals is not in the model.' \
    --base "$single" --against "$single" --potting none
new compare-mismatch -l 'Winding: coils alike, or coil two at 92 %' \
    -c 'Eight per cent fewer turns on coil two: less inductance, a resonance a little higher, hum no longer cancelled in full (see the hum output).' \
    --base "$dual" --against "$dual" --second-turns 92
new compare-core -l 'Winding: slugs of steel or ferrite' \
    -c 'Eddy currents in steel damp the resonance; ferrite has none to speak of. The peak stands higher.' \
    --base "$dual" --against "$dual" --core ferrite
