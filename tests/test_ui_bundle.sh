#!/bin/bash
# SPDX-License-Identifier: ISC
# The window in the bundle: announced as hosts look for it, one symbol in its binary; and the
# plugin is the same without it.
. tests/support/counts.sh
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
mkdir "$scratch/lv2"
cp -r "$CW_BUNDLE" "$scratch/lv2/coilwright.lv2"
rm "$scratch/lv2/coilwright.lv2/coilwright_ui.so"
without() { LV2_PATH=$scratch/lv2:/usr/lib/lv2 "$@"; }

# What lv2info prints, in an order that is always the same.
listed() { sed -e '/^[[:space:]]*$/d' -e 's|file://.*lv2/coilwright|file:///coilwright|' -e 's/^[A-Z][a-z]*: */\t/' -e 's/^[[:space:]]*\(Type: *\)\?//' | sort; }

if need nm 'exported symbols are not counted'; then
    exported=$(nm -D --defined-only "$CW_BUNDLE/coilwright_ui.so" | awk '{ print $3 }')
    check "the window exports more than its descriptor: $exported" test "$exported" = lv2ui_descriptor
fi
if need lv2info 'the window is not looked up by a host'; then
    info=$(LV2_PATH=$LV2_PATH:/usr/lib/lv2 lv2info urn:coilwright:voicing)
    check 'a host does not see the window' grep -q 'urn:coilwright:voicing#ui' <<<"$info"
    check 'a host does not see its class' grep -q 'extensions/ui#X11UI' <<<"$info"
    check 'a host does not find its binary' grep -q 'Binary:.*coilwright_ui.so' <<<"$info"
    check 'without its window the plugin is another' diff <(listed <<<"$info") \
        <(without lv2info urn:coilwright:voicing | listed)
fi
if need lv2apply 'the plugin is not run without its window' && need sox 'the plugin is not run without its window'; then
    sox -n -r 48000 -c 1 -e float -b 32 "$scratch/in.wav" synth 0.3 pluck E2 gain -6
    for path in "$LV2_PATH" "$scratch/lv2"; do
        LV2_PATH=$path lv2apply -i "$scratch/in.wav" -o "$scratch/$(echo "$path" | cksum | cut -d' ' -f1).wav" \
            -c a_cable_length 12 -c a_coils 1 -c a_split 1 urn:coilwright:voicing
    done
    # The samples alone: a float file tells the time of its writing.
    samples() { sox -V1 "$scratch/$(echo "$1" | cksum | cut -d' ' -f1).wav" -t f32 -; }
    check 'no sound came out' test "$(samples "$LV2_PATH" | wc -c)" -gt 50000
    check 'without its window the plugin sounds otherwise' cmp <(samples "$LV2_PATH") <(samples "$scratch/lv2")
fi
text=$(cat "$CW_BUNDLE/coilwright.ttl")
for word in 'ui:idleInterface' 'ui:touch' 'ui:floatProtocol' 'opts:supportedOption ui:scaleFactor' 'lv2:extensionData ui:idleInterface'; do
    check "the window's description lacks $word" grep -q "$word" <<<"$text"
done
# Offered by hosts of that kind, never needed, and not what the window itself extends.
check 'ui:resize is more than an optional feature' bash -c "! grep -q -E '(requiredFeature|extensionData)[^;]*ui:resize' '$CW_BUNDLE/coilwright.ttl'"
check 'not every figure is notified' test \
    "$(grep -c 'ui:portNotification' <<<"$text")" = "$(grep -c 'a lv2:OutputPort , lv2:ControlPort' <<<"$text")"
counts_done
