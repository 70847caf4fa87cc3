#!/bin/bash
# SPDX-License-Identifier: ISC
# The pages' scripts by an outside reader, TypeScript's compiler: names that nothing defines, what is never used, code
# that is never reached. A page's scripts are one text in one scope, as the build puts them together; types are not
# written in them, so that what it says of types is passed over.
. tests/support/counts.sh
need node 'the pages'"'"' scripts are not looked at' || counts_done
for script in workshop/page/*.js; do check "$script is a script" node --check "$script"; done
check 'no handler or style hides in a template' bash -c '! grep -Eq " on[a-z]+=| style=" workshop/page/*.html'
need tsc 'the pages'"'"' scripts are not read closely' || counts_done

scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
# What a worklet finds in its scope (Web Audio API, W3C 2021, AudioWorkletGlobalScope).
cat >"$scratch/worklet.d.ts" <<'EOF'
declare class AudioWorkletProcessor { port: MessagePort; }
declare function registerProcessor(name: string, processor: unknown): void;
declare const sampleRate: number;
EOF
types='TS2322|TS2339|TS2345|TS2362|TS2551'
# lint FILE...: what is wrong in scripts that are modules of their own.
lint() {
    tsc --noEmit --allowJs --checkJs --target es2022 --lib es2022,dom,dom.iterable --noUnusedLocals --noUnusedParameters \
        --allowUnreachableCode false --allowUnusedLabels false --noFallthroughCasesInSwitch "$scratch/worklet.d.ts" "$@" |
        grep 'error TS' | grep -Ev "$types" | while read -r line; do
            # What all pages share is used by one of them at least.
            name=$(sed -n "s/.*TS6133: '\([^']*\)'.*/\1/p" <<<"$line")
            [ -n "$name" ] && [ "$(cat workshop/page/*.js | grep -ow -- "$name" | wc -l)" -gt 1 ] || echo "$line"
        done
}
# The build's own lists of what makes a page.
for page in listen letter live live_worklet; do
    files=$(sed -n "s/^\$(B)\/page\/${page}_js.c: \$(addprefix workshop\/page\/,\(.*\))\$/\1/p" Makefile)
    check "the scripts of $page are listed" test -n "$files"
    (cd workshop/page && cat $files && echo 'export {};') >"$scratch/$page.js"
done
found=$(lint "$scratch"/*.js)
check "the pages' scripts: $found" test -z "$found"

# It can fail.
{ cat "$scratch/listen.js" && printf 'function neverCalledAnywhere() { return notDefinedAnywhere; }\n'; } >"$scratch/bad.js"
found=$(lint "$scratch/bad.js")
check 'a name that nothing defines is found' grep -q "Cannot find name 'notDefinedAnywhere'" <<<"$found"
check 'a function that nothing calls is found' grep -q "'neverCalledAnywhere' is declared" <<<"$found"
counts_done
