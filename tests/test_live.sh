#!/bin/bash
# SPDX-License-Identifier: ISC
# The live page: its core in WebAssembly against the same code of this machine, and the page in a browser.
. tests/support/counts.sh
. tests/support/live_native.sh
program=$(realpath "${CW_PROGRAM:-build/coilwright}")
build=${CW_BUILD:-build}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
if [ ! -s "$build/page/core.wasm" ]; then
    skip "the core is not built as WebAssembly: $(cat "$build/page/wasm-tools")"
    counts_done
fi
need node 'the core in WebAssembly is not run' || counts_done

check 'the core compiles for this machine' live_native "$scratch/native"
node tests/support/live_core.mjs "$build/page/core.wasm" "$scratch/native" "$program" "$scratch" >"$scratch/said" 2>&1
counted "$scratch/said" 'the core'

# A program whose build lacked the tools says so, and writes nothing; its tools are named.
check 'what is missing is named' bash -c 'sh workshop/page/wasm-tools none wasm-ld /none | grep -q "missing: none libc.a of wasm32-wasi (Debian: clang lld wasi-libc libclang-rt-dev-wasm32)"'
sh workshop/page/embed cw_live_wasm /dev/null >"$scratch/without.c"
packages="$(sed -n 's/^CLI_PACKAGES = \(.*\) \$(SQLITE)$/\1/p' Makefile) $(pkg-config --exists sqlite3 && echo sqlite3)"
# shellcheck disable=SC2046,SC2086 # flags are words
check 'a program without the core is linked' cc -Iworkshop/page -o "$scratch/without" "$build/obj/cli/main.o" "$build/libcommands.a" \
    "$scratch/without.c" "$build/libworkshop.a" "$build/libcoilwright.a" $(pkg-config --libs $packages) -lm -lpthread
check 'it refuses a live page in one line, with the packages' bash -c '! "$0" audition --demo --live -o "$1/refused" >"$1/said" 2>"$1/errors" &&
    [ "$(wc -l <"$1/errors")" = 1 ] && grep -q "libclang-rt-dev-wasm32" "$1/errors" && [ ! -s "$1/said" ] && [ ! -e "$1/refused" ]' "$scratch/without" "$scratch"
check 'and makes all else' bash -c '"$0" audition --demo -o "$1/else" >/dev/null && [ -s "$1/else/index.html" ]' "$scratch/without" "$scratch"

# In the browser.
if need chromium 'the live page is not opened'; then
    label() { sed "0,/rdfs:label \"[^\"]*\"/s//rdfs:label \"$1\"/" "$2"; }
    label '<script>window.pwned=1<\/script>' presets/job-12-full.ttl >"$scratch/h1.ttl"
    label "' onclick='window.pwned=1' {{script}} <!-- ]]> \&amp;" presets/job-12-full.ttl >"$scratch/h2.ttl"
    check 'a live page of the demonstration' "$program" audition --demo --live -o "$scratch/demo" >"$scratch/said"
    check 'the page to listen to is not told last' grep -q '^Listen .*/demo/index.html$' <(tail -n 1 "$scratch/said")
    cp "$scratch/demo/di.wav" "$scratch/<img src=x onerror=window.pwned=1>.wav"
    check 'and of hostile labels' "$program" audition --live --di "$scratch/<img src=x onerror=window.pwned=1>.wav" -o "$scratch/hostile" "$scratch/h1.ttl" "$scratch/h2.ttl" >/dev/null
    timeout -k 5 120 node tests/support/live_page_check.mjs "$scratch" "$scratch/native" "$program" >"$scratch/said" 2>&1
    counted "$scratch/said" 'the browser'
fi
counts_done
