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

# ---- the plugin's version ----
# LV2 (lv2core, lv2:minorVersion): a minor of zero and an odd minor or micro mean in development, and hosts take the
# higher pair for the newer one.
pair() { "$CW_BUILD/generate" version "$1"; }
# newer ONE OTHER: is the pair of ONE above that of OTHER?
newer() { [ "$(printf '%s\n%s\n' "$(pair "$2")" "$(pair "$1")" | sort -u -k1,1n -k2,2n | tail -n +2)" = "$(pair "$1")" ]; }
is_release() { [[ $1 =~ ^[0-9]+\.[0-9]*[02468]\.[0-9]*[02468]$ && $1 != 0.0.* ]]; }
before=0.1.0
for known in 0.2.0 0.3.0 1.0.0 1.0.1 1.0.2 1.0.10 1.1.0 1.2.0 1.8.4 1.10.0 1.98.0 1.99.9 2.0.0 10.0.0; do
    check "the LV2 version of $known is not above that of $before" newer "$known" $before
    check "the LV2 version of $before is above that of $known" eval "! newer $before $known"
    read -r minor micro < <(pair $known)
    even=$((minor > 0 && minor % 2 == 0 && micro % 2 == 0))
    check "LV2 takes $known for $(is_release $known && echo development || echo 'a release')" \
        test $even = "$(is_release $known && echo 1 || echo 0)"
    before=$known
done
for bad in 1.100.0 1.0 1.0.0.0 1.0.0x 1.-2.0 '' x; do
    check "'$bad' is taken for a version" eval "! pair '$bad' 2>/dev/null"
done

# ---- ports ----
# One row for each change: the version that made it, then cksum of tests/port_symbols.txt (which another
# test holds against the plugin).
minor() { pair "$1" | cut -d' ' -f1; }
while read -r known sum; do
    last=$known last_sum=$sum
    check "port_versions.txt: $known does not raise the minor number" test "$(minor "$known")" -gt "${before_minor:--1}"
    before_minor=$(minor "$known")
done < <(grep -v '^#' tests/port_versions.txt)
now=$(cksum <tests/port_symbols.txt)
check "the ports are not those of $last: raise the minor version, say it in NEWS.md, add '$version $now' to tests/port_versions.txt" \
    test "$now" = "$last_sum"
check "$last is newer than $version" test "$(minor "$last")" -le "$(minor "$version")"

# ---- what was released stays ----
# A session names a port by its symbol and a choice by its number. Labels may be reworded, in the list as well.
gone() { grep -v '^#' | sort | comm -23 - <(awk -f tests/support/released_ports.awk "$CW_BUNDLE/coilwright.ttl" | sort); }
check "ports or choices of a release are gone or mean something else: $(gone <tests/released_ports.txt)" \
    test -z "$(gone <tests/released_ports.txt)"
check 'a port that is gone is not noticed' test "$(printf 'in\nnever\nlisten 1 Candidate B\n' | gone)" = $'listen 1 Candidate B\nnever'
while read -r known file sum; do
    check "$file was released in $known and is another now: what is new takes a file of its own" test "$(cksum <"$file")" = "$sum"
done < <(grep -v '^#' tests/released_files.txt)
if is_release "$version"; then
    check "a release carries its date in NEWS.md: ## $version (YYYY-MM-DD)" \
        grep -qxE "## $version \([0-9]{4}-[0-9]{2}-[0-9]{2}\)" NEWS.md
    check 'tests/released_ports.txt lacks ports of this release: make freeze' \
        test -z "$(comm -13 <(sort tests/released_ports.txt) <(awk -f tests/support/released_ports.awk "$CW_BUNDLE/coilwright.ttl" | sort))"
    for schema in workshop/seal_*.def; do
        check "add '$version $schema $(cksum <"$schema")' to tests/released_files.txt: make freeze" \
            grep -qF " $schema " tests/released_files.txt
    done
fi

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
        status=$?
        check "make dist: $(cat "$scratch/$clone.out")" test $status = 0
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
