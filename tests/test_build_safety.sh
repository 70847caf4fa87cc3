#!/bin/bash
# SPDX-License-Identifier: ISC
# What the build refuses and what it puts into its binaries; what the set-up writes and where.
. tests/support/counts.sh
scratch=$(realpath "$(mktemp -d)")
trap 'rm -rf "$scratch"' EXIT
unset MAKEFLAGS MFLAGS

# --- arithmetic that is not that of C is refused by name, wherever the core is compiled
for source in dsp/*.c; do
    for flag in -Ofast -ffast-math -ffinite-math-only; do
        ${CC:-cc} -std=c11 -D_POSIX_C_SOURCE=200809L -Idsp $flag -fsyntax-only "$source" 2>"$scratch/errors"
        check "$source is compiled with $flag" test $? != 0 -a -n "$(grep 'not to be built with -Ofast' "$scratch/errors")"
    done
done

# --- the binaries (a sanitizer's build has its own ways)
if ! nm -D "$CW_BUNDLE/coilwright.so" | grep -q -e __asan -e __ubsan && need readelf 'binaries are not looked at'; then
    for binary in "$CW_PROGRAM" "$CW_BUNDLE/coilwright.so" "$CW_BUNDLE/coilwright_ui.so"; do
        check "$binary: full RELRO" bash -c 'readelf -d "$1" | grep -q "FLAGS.*NOW" && readelf -l "$1" | grep -q GNU_RELRO' - "$binary"
        check "$binary: stack protector" bash -c 'nm -D "$1" | grep -q __stack_chk_fail' - "$binary"
        check "$binary: FORTIFY_SOURCE" bash -c 'nm -D "$1" | grep -q "__[a-z]*_chk"' - "$binary"
        check "$binary: names the directory that it was built in" bash -c '! grep -q -F -a "$1" "$2"' - "$PWD/" "$binary"
    done
fi

# --- the order of objects does not follow the locale
order() { LC_ALL=$1 make -n -B SETUP=true B="$scratch/order" all 2>/dev/null | grep -e ' rcs ' -e '-shared' | sed "s/ -[^ ]*//g"; }
order C >"$scratch/c"
check 'no link is in the order' test -s "$scratch/c"
for locale in $(locale -a | grep -i -e '^en_' -e '^de_' -e '^C.utf' | head -n 3); do
    order "$locale" >"$scratch/other"
    check "objects are linked in another order in $locale" cmp -s "$scratch/c" "$scratch/other"
done

# --- the set-up: a manager of packages that always fails, a probe that finds nothing
mkdir "$scratch/bin" "$scratch/ci" "$scratch/tmp"
cp .ci/setup "$scratch/ci/"
echo 'build no-such-command-here nothing nothing nothing nothing' >"$scratch/ci/packages"
printf '#!/bin/sh\necho "E: it cannot be"\nexit 1\n' | tee "$scratch/bin/apt-get" >"$scratch/bin/sudo"
chmod +x "$scratch/bin/"*
setup() { TMPDIR=$1 PATH="$scratch/bin:$PATH" sh "$scratch/ci/setup" build >"$scratch/said" 2>"$scratch/errors" </dev/null; }
echo mine >"$scratch/mine"
# Every name that the old one could have taken leads elsewhere.
for id in $(seq $$ $(($$ + 300))); do ln -s "$scratch/mine" "$scratch/tmp/coilwright-setup.$id"; done
setup "$scratch/tmp"
check 'a failed set-up ends with 1' test $? = 1
check 'it follows a link' test "$(cat "$scratch/mine")" = mine
log=$(sed -n 's/.*(log: \(.*\))/\1/p' "$scratch/errors")
check "its log is kept and named: $(cat "$scratch/errors")" grep -q 'it cannot be' "$log"
check 'its end is shown' grep -q 'it cannot be' "$scratch/errors"
setup "$scratch/no/such"
check 'a missing TMPDIR is worked around, or said' grep -q -e 'please install' -e 'TMPDIR is' "$scratch/errors"
rm -rf "$(dirname "$(sed -n 's/.*(log: \(.*\))/\1/p' "$scratch/errors")")"

# --- a bundle from elsewhere with a link in it
coilwright=$(realpath "$CW_PROGRAM")
for name in preset.ttl manifest.ttl; do
    mkdir "$scratch/$name.lv2"
    ln -s ../mine "$scratch/$name.lv2/$name"
    "$coilwright" new -o "$scratch/$name.lv2" --force >"$scratch/said" 2>"$scratch/errors"
    check "new follows the link $name" test $? = 1 -a "$(cat "$scratch/mine")" = mine
    check "one line says so: $(cat "$scratch/errors")" grep -q "$name: expected a file of the bundle to replace, found a link" "$scratch/errors"
    check 'and nothing else is written' test "$(ls -A "$scratch/$name.lv2")" = $name
done
counts_done
