#!/bin/bash
# SPDX-License-Identifier: ISC
# The libraries of the program for another machine: Debian's packages of that machine, unpacked.
#
#   tests/foreign/libraries.sh ARCHITECTURE DIRECTORY       ARCHITECTURE: Debian's name
#
# Nothing of this system is changed: apt works in DIRECTORY.apt. Exit status 1 where they cannot be had.
arch=$1
to=$2
[ -e "$to/complete" ] && exit 0
command -v apt-get >/dev/null || exit 1
mkdir -p "$to.apt/lists/partial" "$to.apt/archives/partial" || exit 1
: >"$to.apt/status"
apt=$(cd "$to.apt" && pwd)
apt_get() {
    apt-get -o APT::Architecture="$arch" -o APT::Architectures="$arch" -o Dir::State="$apt" -o Dir::State::status="$apt/status" \
        -o Dir::Cache="$apt" -o Debug::NoLocking=1 -o APT::Install-Recommends=false -o APT::Sandbox::User=root "$@" >>"$apt/log" 2>&1
}
# What the program is built of, as .ci/packages has it, and the C library.
packages=$(awk '($1 == "build" || $2 == "pc:sqlite3") && $2 ~ /^pc:/ && $2 != "pc:x11" { print $3 }' .ci/packages)
apt_get update # a source without this machine is no matter
# shellcheck disable=SC2086 # a word for each package
apt_get --download-only -y install libc6-dev $packages || { tail -n 5 "$apt/log"; exit 1; }
rm -rf "$to" && mkdir -p "$to" || exit 1
root=$(cd "$to" && pwd)
for package in "$apt"/archives/*.deb; do
    dpkg-deb -x "$package" "$root" || exit 1
done
# Links from / on are meant from here on.
find "$root" -type l -lname '/*' -exec sh -c 'root=$1; shift; for l; do ln -sfn "$root$(readlink "$l")" "$l"; done' - "$root" {} +
rm -rf "$apt"
touch "$root/complete"
