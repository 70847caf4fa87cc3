#!/bin/bash
# SPDX-License-Identifier: ISC
# Computed strings through a pickup full and split: the preview of the split against the split itself. Judged by
# NumPy; CW_STRINGS=all for every split and place (make check-strings).
. tests/support/counts.sh
need lv2file 'no computed string is played' || counts_done
/usr/bin/python3 -c 'import numpy, scipy' 2>/dev/null || {
    skip 'no NumPy or SciPy: no computed string is played'
    counts_done
}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
LV2_PATH=$(cd "$CW_BUNDLE/.." && pwd)
export LV2_PATH
check 'the preview is not the split, or no nearer than the network alone' \
    /usr/bin/python3 tests/simulate_strings.py "$scratch" ${CW_STRINGS:-} >"$scratch/said"
cat "$scratch/said"
check 'nothing was compared' grep -q 'mean |miss|' "$scratch/said"
counts_done
