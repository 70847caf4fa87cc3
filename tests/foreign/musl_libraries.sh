#!/bin/bash
# SPDX-License-Identifier: ISC
# The program's libraries for musl: this system's own, which load beside musl with the names of glibc_names.c. In DIRECTORY,
# links: lib/ to them and to all that they load, include/ to their headers and no other of this system.
#
#   tests/foreign/musl_libraries.sh DIRECTORY BINARY...     BINARY: what this system's build made of the same libraries
set -eu
to=$1
shift
system=/usr/lib/$(gcc -print-multiarch)
rm -rf "$to"
mkdir -p "$to/lib" "$to/include"
# What stands in the directory of all headers; the rest has a directory of its own, which pkg-config tells. The kernel's are
# for a test.
for header in sndfile.h ebur128.h sodium sodium.h qrencode.h sqlite3.h lv2 X11 jack cmocka.h linux asm-generic; do
    [ ! -e "/usr/include/$header" ] || ln -s "/usr/include/$header" "$to/include/"
done
ln -s "/usr/include/$(gcc -print-multiarch)/asm" "$to/include/"
# All but the C library, in whose place musl stands by itself.
ldd "$@" | awk '$2 == "=>" && $1 !~ /^lib(c|m|dl|rt|pthread)\.so/ && !seen[$1]++ { print $3 }' |
    while read -r library; do
        ln -s "$library" "$to/lib/"
        # As the linker asks for it, where its headers are installed.
        name=$(basename "$library")
        [ ! -e "$system/${name%%.so*}.so" ] || ln -sf "$system/${name%%.so*}.so" "$to/lib/"
    done
musl-gcc -std=c11 -Wall -Wextra -Werror -O2 -fPIC -shared -o "$to/lib/libglibc_names.so" tests/foreign/glibc_names.c
# Asked for by name where thread-local storage is; what it has, musl has.
ln -s libglibc_names.so "$to/lib/$(basename "$(ldd "$1" | awk '$1 ~ /^\// { print $1 }')")"
