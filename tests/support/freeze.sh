#!/bin/bash
# SPDX-License-Identifier: ISC
# `make freeze`: what version $1 makes permanent, of the bundle $2, added to the lists that tests/test_release.sh holds.
# It may be done again until the version has its tag.
version=$1 turtle=$2/coilwright.ttl
export LC_ALL=C
if git rev-parse -q --verify "refs/tags/v$version" >/dev/null; then
    echo "coilwright: freeze: $version has its tag: nothing of it changes" >&2
    exit 2
fi
last=$(git describe --tags --abbrev=0 --match 'v*' 2>/dev/null)
before() { [ -z "$last" ] || git show "$last:$1" 2>/dev/null | grep -v '^#'; }

# anew LIST COMMAND...: the list's heading, then what the command prints.
anew() {
    list=$1
    shift
    new=$(grep '^#' "$list" && "$@") && printf '%s\n' "$new" >"$list"
}
ports() { { before tests/released_ports.txt; awk -f tests/support/released_ports.awk "$turtle"; } | sort -u; }
schemas() {
    before tests/released_files.txt
    for file in workshop/seal_*.def; do
        before tests/released_files.txt | grep -qF " $file " || echo "$version $file $(cksum <"$file")"
    done
}
rows() { grep -v -e '^#' -e "^$version " tests/port_versions.txt; echo "$version $(cksum <tests/port_symbols.txt)"; }
anew tests/released_ports.txt ports
anew tests/released_files.txt schemas
anew tests/port_versions.txt rows
