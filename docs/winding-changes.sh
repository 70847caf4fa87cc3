#!/bin/sh
# SPDX-License-Identifier: ISC
# Prints docs/winding-changes.md: what a change of the winding does, by the program itself.
#
#   docs/winding-changes.sh [PROGRAM]      default: build/coilwright
set -e
cd "$(dirname "$0")/.."
program=${1:-build/coilwright}

cat <<'TEXT'
# What a change of the winding does

Made by `docs/winding-changes.sh` from `coilwright compare`; a test fails where it is stale. Level is weighted loudness. "Heard?" names the auditory band that differs most once levels are matched: "perhaps" from 1.4 dB, "yes" from 2.8 dB on (Gagné and Zurek, JASA 83, 1988; see [model.md](model.md)); "level only" is gone once levels are matched. Every row has the same model error as its base, so that the change is surer than the value: see [model.md](model.md). Before you wind or pot: [cautions](cautions.md).

## Order 21: two coils of 5000 turns of AWG 42, steel slugs, a bar of alnico 5

TEXT
"$program" compare presets/winding-order-21.ttl --markdown -v gauge=43 -v gauge=43,turns=6700 -v turns=4500 \
    -v 'gauge=43,insulation=heavy build' -v 'magnet=alnico 2' -v 'magnet=alnico 3' -v 'magnet=alnico 8' -v magnet=ceramic \
    -v potting=beeswax -v potting=none -v second_turns=92 -v 'core=steel screws' -v core=ferrite

cat <<'TEXT'

The same on 2 Mohm controls and a 0.5 m cable, where winding capacitance counts most:

TEXT
"$program" compare presets/winding-order-21.ttl --markdown --set cable_length=0.5 --set volume_pot=2M --set tone_pot=2M -v potting=beeswax -v potting=none

cat <<'TEXT'

## Order 22: one coil of 7800 turns of AWG 42, rods of alnico 5

TEXT
"$program" compare presets/winding-order-22.ttl --markdown -v gauge=43 -v turns=6800 -v 'magnet=alnico 3' \
    -v 'magnet=alnico 2' -v potting=beeswax

cat <<'TEXT'

From the same coil before it is potted:

TEXT
"$program" compare presets/winding-order-22.ttl --markdown --set potting=none -v potting=paraffin -v potting=beeswax
