#!/bin/bash
# SPDX-License-Identifier: ISC
# install, uninstall and clean touch what they are told to, whatever characters its path has.
. tests/support/counts.sh
scratch=$(realpath "$(mktemp -d)")
trap 'rm -rf "$scratch"' EXIT
unset MAKEFLAGS MFLAGS
run() { make --no-print-directory SETUP=true B="$CW_BUILD" "$@" >"$scratch/log" 2>&1; }
if [ ! -w "$CW_BUILD" ] || ! run all; then
    fail "nothing to install: $(tail -n 5 "$scratch/log")"
    counts_done
fi

while IFS= read -r name; do
    at="$scratch/$name"
    mkdir -p "$at/lv2/lib" "$scratch/stage $name"
    check "install to '$name': $(tail -n 3 "$scratch/log")" run PREFIX="$at" LV2DIR="$at/lv2/audio plugins" install
    check "the program is not in '$name'" test -x "$at/bin/coilwright"
    check "the bundle is not in '$name'" test -f "$at/lv2/audio plugins/coilwright.lv2/manifest.ttl"
    check "the page is not in '$name'" test -f "$at/share/man/man1/coilwright.1"
    check "uninstall from '$name'" run PREFIX="$at" LV2DIR="$at/lv2/audio plugins" uninstall
    check "uninstall from '$name' leaves $(find "$at" -type f)" test -z "$(find "$at" -type f)"
    check "stage in '$name'" run DESTDIR="$scratch/stage $name" PREFIX=/usr install
    check "the staged program of '$name'" test -x "$scratch/stage $name/usr/bin/coilwright"
    check "unstage from '$name'" run DESTDIR="$scratch/stage $name" PREFIX=/usr uninstall
    check "unstage from '$name' leaves a file" test -z "$(find "$scratch/stage $name" -type f)"
done <<'NAMES'
plain
two words
it's "quoted"; touch gone
*
`touch gone`
- f
ünicode
NAMES
check 'a name was run as a command' test -z "$(find . "$scratch" -maxdepth 2 -name gone)"

# A path with a space is one path: what stands at its parts is not touched.
mkdir -p "$scratch/my/audio" "$scratch/in/plugins"
echo mine >"$scratch/my/audio/file"
echo mine >"$scratch/in/plugins/file"
(cd "$scratch/in" && make --no-print-directory -f "$OLDPWD/Makefile" -C "$OLDPWD" SETUP=true B="$CW_BUILD" \
    LV2DIR="$scratch/my/audio $scratch/in/plugins" uninstall >"$scratch/log" 2>&1)
check 'uninstall takes a part of a path for a path' test -f "$scratch/my/audio/file" -a -f "$scratch/in/plugins/file"

# refused WORDS ARGUMENTS...: nothing is done, one line says why
refused() {
    local words=$1
    shift
    run "$@"
    local status=$?
    check "make $*: $(head -n 3 "$scratch/log")" test $status != 0 -a "$(grep -c -F -- "$words" "$scratch/log")" = 1
    check "make $* went on" test -z "$(grep -e '^rm ' -e '^install ' "$scratch/log")"
}
for verb in install uninstall; do
    refused 'coilwright: LV2DIR: expected a directory' LV2DIR= $verb
    refused 'coilwright: LV2DIR: expected a directory' LV2DIR=/ $verb
    refused 'coilwright: LV2DIR: expected a directory' LV2DIR=// DESTDIR="$scratch/a" $verb
    refused 'coilwright: BINDIR: expected a path from / on' BINDIR=bin $verb
    refused 'coilwright: LV2DIR: expected a path from / on' LV2DIR='~/.lv2' $verb
    refused "without '.', '..'" LV2DIR="$scratch/../x" $verb
    refused "without '.', '..'" DESTDIR="$scratch/a/.." $verb 2>/dev/null
    refused 'coilwright: DESTDIR: expected a directory' DESTDIR= $verb
done
check 'an empty DESTDIR of the environment is none' bash -c 'DESTDIR= make -n SETUP=true B="$1" PREFIX="$2" uninstall >/dev/null' \
    - "$CW_BUILD" "$scratch/x"

# clean removes a build and nothing else
mkdir "$scratch/papers"
echo mine >"$scratch/papers/file"
refused 'found no objects' B="$scratch/papers" clean
refused 'expected the directory of a build' B=/ clean
refused 'expected the directory of a build' B=. clean
refused 'its path without spaces' B= clean
refused 'its path without spaces' B="$scratch/papers build" clean
check 'clean removed papers' test -f "$scratch/papers/file"
mkdir -p "$scratch/build/obj/dsp"
check 'clean' run B="$scratch/build" clean
check 'clean leaves the build' test ! -e "$scratch/build"
counts_done
