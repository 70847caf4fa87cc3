#!/bin/bash
# SPDX-License-Identifier: ISC
# The published description, as other people's tools read it; the docs made from the same table.
. tests/support/counts.sh
bundle=$CW_BUNDLE
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

if need lv2_validate 'the bundle is not validated'; then
    # It may print errors and still exit 0: its text counts.
    text=$(lv2_validate "$bundle"/*.ttl 2>&1)
    echo "$text" | tail -n 5
    check 'lv2_validate finds errors' grep -q '^Found 0 errors among' <<<"$text"
    check 'lv2_validate did not read every file of the bundle' bash -c '! grep -q "Skipping file $1"' - "$bundle" <<<"$text"

    # A validator that cannot fail is no judge: it must see a type that is wrong.
    mkdir "$scratch/broken.lv2"
    cp "$bundle"/*.ttl "$scratch/broken.lv2/"
    sed -i 's/lv2:index 5 /lv2:index "five" /' "$scratch/broken.lv2/coilwright.ttl"
    check 'lv2_validate misses a broken file' grep -q '^Found [1-9]' <<<"$(lv2_validate "$scratch"/broken.lv2/*.ttl 2>&1)"
fi

if need sord_validate 'the Turtle is not checked against the vocabularies'; then
    text=$(sord_validate $(find /usr/lib/lv2/*.lv2 -name '*.ttl' ! -name 'lv2core.doap.ttl') "$bundle"/*.ttl 2>&1)
    echo "$text" | tail -n 5
    check 'sord_validate finds errors' grep -q '^Found 0 errors among' <<<"$text"
fi

if need lv2ls 'presets as hosts list them'; then
    check 'lv2ls does not see the plugin' grep -qx urn:coilwright:voicing <<<"$(lv2ls)"
    for preset in presets/*.ttl; do
        label=$(sed -n 's/.*rdfs:label "\(.*\)".*/\1/p' "$preset" | head -n 1)
        check "a host does not see the preset $preset" \
            grep -qF "         $label" <<<"$(LV2_PATH=$LV2_PATH:/usr/lib/lv2 lv2info urn:coilwright:voicing)"
    done
fi

if need nm 'exported symbols are not counted'; then
    exported=$(nm -D --defined-only "$bundle/coilwright.so" | awk '$2 ~ /[A-Z]/ && $3 !~ /^(_init|_fini|__|_edata|_end|__bss_start)/ { print $3 }')
    check "the plugin exports more than its descriptor: $exported" test "$exported" = lv2_descriptor
fi

"$CW_BUILD/generate" parameters >"$scratch/parameters.md"
check 'docs/parameters.md is stale: make docs' diff -u docs/parameters.md "$scratch/parameters.md"
check 'the bundle holds a preset that is gone, or lacks one' \
    diff <(ls presets/*.ttl | xargs -n 1 basename | sort) \
    <(ls "$bundle"/*.ttl | xargs -n 1 basename | grep -v -e '^manifest.ttl$' -e '^coilwright.ttl$' | sort)
for preset in presets/*.ttl; do
    check "the bundle's copy of $preset is stale" cmp "$preset" "$bundle/$(basename "$preset")"
done
"$CW_BUILD/generate" nonsense >/dev/null 2>&1
check 'the generator takes nonsense' test $? = 2
"$CW_BUILD/generate" manifest '../a b.ttl' >/dev/null 2>&1
check 'the generator takes a file name that is no plain name' test $? = 2
counts_done
