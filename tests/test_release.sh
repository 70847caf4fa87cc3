#!/bin/bash
# SPDX-License-Identifier: ISC
# What a version promises: NEWS.md begins with it, and ports change only together with its minor number.
. tests/support/counts.sh
version=$(sed -n 's/^VERSION := //p' Makefile)
check "VERSION is no three numbers: '$version'" grep -qxE '[0-9]+\.[0-9]+\.[0-9]+' <<<"$version"
check 'the program says another' grep -qF "$version" <<<"$("$CW_PROGRAM" --version)"

# ---- news ----
newest=$(sed -n 's/^## \([0-9.]*\).*/\1/p' NEWS.md | head -n 1)
check "NEWS.md begins with $newest, the Makefile has $version" test "$newest" = "$version"
entry=$(awk '/^## /{ n++ } n == 1 && /^- /' NEWS.md)
check 'the newest entry is empty' test -n "$entry"
check 'NEWS.md is not newest first' diff <(sed -n 's/^## \([0-9.]*\).*/\1/p' NEWS.md) <(sed -n 's/^## \([0-9.]*\).*/\1/p' NEWS.md | sort -Vr)

# ---- ports ----
# One row for each change: the version that made it, then cksum of tests/port_symbols.txt (which another
# test holds against the plugin).
minor() { cut -d. -f2 <<<"$1"; }
while read -r known sum; do
    last=$known last_sum=$sum
    check "port_versions.txt: $known does not raise the minor number" test "$(minor "$known")" -gt "${before:--1}"
    before=$(minor "$known")
done < <(grep -v '^#' tests/port_versions.txt)
now=$(cksum <tests/port_symbols.txt)
check "the ports are not those of $last: raise the minor version, say it in NEWS.md, add '$version $now' to tests/port_versions.txt" \
    test "$now" = "$last_sum"
check "$last is newer than $version" test "$(minor "$last")" -le "$(minor "$version")"

# The same against the last release, where there is one.
tag=$(git describe --tags --abbrev=0 --match 'v*' 2>/dev/null)
if [ -n "$tag" ]; then
    if ! git show "$tag:tests/port_symbols.txt" 2>/dev/null | cmp -s - tests/port_symbols.txt; then
        check "ports changed since $tag, the minor version did not" test "$(minor "$version")" -gt "$(minor "${tag#v}")"
    fi
fi

# ---- the archive of the sources ----
if git rev-parse -q --verify HEAD >/dev/null 2>&1; then
    scratch=$(mktemp -d)
    trap 'rm -rf "$scratch"' EXIT
    git clone -q . "$scratch/one" && git clone -q "$scratch/one" "$scratch/two"
    for clone in one two; do
        (umask "$([ $clone = one ] && echo 022 || echo 077)" && make -s -C "$scratch/$clone" dist >"$scratch/$clone.out" 2>&1)
        check "make dist: $(cat "$scratch/$clone.out")" test $? = 0
    done
    archive=coilwright-$version.tar.gz
    check 'two clones make two archives' cmp "$scratch/one/build/$archive" "$scratch/two/build/$archive"
    check 'its digest is another' sh -c "cd '$scratch/one/build' && sha256sum --quiet -c $archive.sha256"
    tar -C "$scratch" -xzf "$scratch/one/build/$archive"
    check 'the archive lacks files, or has more' \
        diff <(git -C "$scratch/one" ls-files | sort) <(cd "$scratch/${archive%.tar.gz}" && find . -type f | sed 's|^\./||' | sort)
    echo >>"$scratch/one/NEWS.md"
    make -s -C "$scratch/one" dist >"$scratch/one.out" 2>&1
    check "changes that are not committed are left out unsaid: $(cat "$scratch/one.out")" grep -q 'not committed' "$scratch/one.out"
else
    skip 'this is no clone: no archive of the sources is made'
fi
counts_done
