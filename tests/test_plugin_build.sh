#!/bin/bash
# SPDX-License-Identifier: ISC
# What the build promises: it installs and uninstalls cleanly where it is told to, it warns of
# nothing under either compiler, and each header stands alone, in C and in C++.
. tests/support/counts.sh
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
quiet() { make --no-print-directory "$@" >"$scratch/log" 2>&1 || { tail -n 20 "$scratch/log"; return 1; }; }

root=$scratch/root
check 'make install fails' quiet B="$CW_BUILD" DESTDIR="$root" PREFIX=/opt/cw install
check 'the bundle is not at PREFIX/lib/lv2' test -f "$root/opt/cw/lib/lv2/coilwright.lv2/manifest.ttl"
check 'the binary of the plugin is not installed' test -x "$root/opt/cw/lib/lv2/coilwright.lv2/coilwright.so"
check 'the program is not at PREFIX/bin' test -x "$root/opt/cw/bin/coilwright"
check 'the manual page is not at PREFIX/share/man' test -f "$root/opt/cw/share/man/man1/coilwright.1"
if need lv2ls 'the installed bundle is not looked up by a host'; then
    check 'a host does not find the installed plugin' \
        grep -qx urn:coilwright:voicing <<<"$(LV2_PATH="$root/opt/cw/lib/lv2" lv2ls)"
fi
check 'make uninstall fails' quiet B="$CW_BUILD" DESTDIR="$root" PREFIX=/opt/cw uninstall
check 'make uninstall leaves a file' test -z "$(find "$root" -type f)"
check 'make install ignores LV2DIR' bash -c "make -s B='$CW_BUILD' DESTDIR='$root' LV2DIR=/usr/lib/x/lv2 install >/dev/null 2>&1 &&
    test -f '$root/usr/lib/x/lv2/coilwright.lv2/coilwright.ttl'"

for compiler in gcc clang; do
    need $compiler "no look at its warnings" || continue
    check "$compiler warns" bash -c "make -s -j 2 B='$scratch/$compiler' CC=$compiler CFLAGS='-O1 -Werror' all >'$scratch/log' 2>&1 ||
        { grep -m 20 -e error -e warning '$scratch/log'; false; }"
done

for header in dsp/*.h workshop/*.h workshop/plot/*.h plugin/*.h plugin/ui/*.h cli/*.h; do
    [ -e "$header" ] || continue
    check "$header does not stand alone" ${CC:-cc} -std=c11 -D_POSIX_C_SOURCE=200809L -Wall -Wextra -Werror -Idsp -Iworkshop -Iworkshop/plot -Icli -Iplugin -Iplugin/ui \
        $(pkg-config --cflags lilv-0 cairo sndfile) -fsyntax-only -x c "$header" -Wno-unused-function
done
if need clang 'headers are not compiled as C++'; then
    for header in dsp/*.h workshop/*.h workshop/plot/*.h; do
        check "$header is not C++ as well" clang -x c++ -std=c++11 -Wall -Wextra -Werror -Wno-unused-function -Idsp -Iworkshop -Iworkshop/plot $(pkg-config --cflags cairo) -fsyntax-only "$header"
    done
fi
counts_done
