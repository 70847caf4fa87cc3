#!/bin/bash
# SPDX-License-Identifier: ISC
# What in the docs is made is fresh, and what they point to is there: in the sources, installed, and in the bundle.
. tests/support/counts.sh
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

# ---- tables and pictures ----
sh docs/winding-changes.sh "$CW_PROGRAM" >"$scratch/changes.md"
check 'docs/winding-changes.md is stale: make docs' diff docs/winding-changes.md "$scratch/changes.md"
sh docs/measuring.sh "$CW_PROGRAM" >"$scratch/measuring.md"
check 'docs/measuring.md is stale: make docs' diff docs/measuring.md "$scratch/measuring.md"
if /usr/bin/python3 -c 'import scipy' 2>/dev/null; then
    sh docs/start-to-finish.sh "$CW_PROGRAM" >"$scratch/finish.md"
    check 'docs/start-to-finish.md is stale: make docs' diff docs/start-to-finish.md "$scratch/finish.md"
else
    skip 'SciPy is not here: the order from start to finish is not run'
fi
# A picture is stale where the window writes other words now, or where it is not the file that the words were
# written down with. Words that fit depend on the font a little.
check 'the pictures are made' "$CW_BUILD/pictures" "$scratch"
if [ "$(fc-match -f '%{family}' sans 2>/dev/null)" = 'DejaVu Sans' ]; then
    check 'the pictures in docs/images are stale: make docs' diff docs/images/window.txt "$scratch/window.txt"
else
    skip 'another font than that of the pictures: their words are not compared'
fi
check 'a picture and window.sums are of two runs: make docs' \
    diff <(cd docs/images && cksum window-*.png) docs/images/window.sums
for picture in docs/images/*.png; do
    check "$picture is shown nowhere" grep -q "$(basename "$picture")" README.md docs/*.md
done

# ---- links ----
# Prints each relative link of the page $1 whose file is not there.
dead_links() {
    grep -o ']([^)]*)' "$1" | sed 's/^](//; s/)$//; s/#.*//' | grep -v -e '^$' -e '^[a-z]*:' | while read -r link; do
        [ -e "$(dirname "$1")/$link" ] || echo "$link"
    done
}
for page in README.md DEVELOPERS.md NEWS.md docs/*.md; do
    found=$(dead_links "$page")
    check "$page: dead links: $found" test -z "$found"
done
found=$(dead_links "$CW_BUNDLE/README.md")
check "README.md of the bundle: dead links: $found" test -z "$found"
check 'README.md of the bundle is empty' grep -q '^# Coilwright' "$CW_BUNDLE/README.md"

root=$scratch/root
check 'make install fails' make -s B="$CW_BUILD" SETUP=true DESTDIR="$root" PREFIX=/usr install
docs=$root/usr/share/doc/coilwright
for page in "$docs"/*.md "$docs"/docs/*.md; do
    found=$(dead_links "$page")
    check "installed $(basename "$page"): dead links: $found" test -z "$found"
done
for page in $(grep -o 'docs/[a-z-]*\.md' docs/coilwright.1 | sort -u); do
    check "the manual page names $page, which is not installed" test -f "$docs/$page"
done
for page in LICENSE docs/notices.md docs/cautions.md; do
    check "$page is not installed" test -f "$docs/$page"
done
check 'make uninstall leaves a file' bash -c "make -s B='$CW_BUILD' SETUP=true DESTDIR='$root' PREFIX=/usr uninstall &&
    test -z \"\$(find '$root' -type f)\""

# ---- notices ----
# Every library that a binary of ours asks for, but those of the C library.
if need readelf 'the notices are not held against the binaries'; then
    for library in $(readelf -d "$CW_PROGRAM" "$CW_BUNDLE"/*.so | sed -n 's/.*NEEDED.*\[\([^]]*\)\.so[.0-9]*\]/\1/p' | sort -u); do
        case $library in libc | libm | libpthread | ld-linux* | libasan | libubsan | libtsan | libgcov | libclang*) continue ;; esac
        check "docs/notices.md does not name $library" grep -qF "\`$library.so\`" docs/notices.md
    done
fi

# ---- cautions: what they say of the defaults is so ----
default_of() { sed -n "s/^| \`$1\` | [^|]* | [^|]* | \([^|]*\) |.*/\1/p" docs/parameters.md; }
check 'level match is off by default: the docs say otherwise' test "$(default_of level_match)" = off
check 'the boost limit is 24 dB: the docs say otherwise' test "$(default_of boost_limit)" = '24 dB'
counts_done
