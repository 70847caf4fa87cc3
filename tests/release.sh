#!/bin/bash
# SPDX-License-Identifier: ISC
# `make check-release`: what somebody gets who has the archive of the last commit and nothing else. Two clones in folders
# of different length make it, bit for bit; both archives are unpacked where no clone is and built; programs and bundles
# are the same, bit for bit; the tests in $RELEASE_TESTS run there. Prints the digest and how it is signed.
. tests/support/counts.sh
unset MAKEFLAGS MAKEOVERRIDES
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
version=$(sed -n 's/^VERSION := //p' Makefile)
name=coilwright-$version
here=$scratch/a
there=$scratch/a-folder/whose-name/is-much-longer
export GIT_CEILING_DIRECTORIES=$scratch

# in_both COMMAND...: in each of the two folders, its output in FOLDER.out.
in_both() { for folder in "$here" "$there"; do (cd "$folder" && "$@") >"$folder.out" 2>&1 || { fail "$* in $folder: $(tail -n 5 "$folder.out")"; return 1; }; done; }

# ---- the archive ----
git diff --quiet HEAD -- || echo 'What is not committed is left out.'
mkdir -p "$there" && rmdir "$there"
git clone -q . "$here" && git clone -q "$here" "$there"
commit=$(git -C "$here" rev-parse --short HEAD)
git -C "$there" config tar.umask user # what a person has set is no part of the archive
git -C "$there" config core.autocrlf true
in_both make -s dist
check 'two clones make two archives' cmp "$here/build/$name.tar.gz" "$there/build/$name.tar.gz"
mv "$here/build/$name.tar.gz" "$here/build/$name.tar.gz.sha256" "$scratch"
check 'its digest is that of another' sh -c "cd '$scratch' && sha256sum --quiet -c $name.tar.gz.sha256"
tar -tvzf "$scratch/$name.tar.gz" >"$scratch/list"
check 'it names owners of this machine' test -z "$(grep -v ' root/root ' "$scratch/list")"
check 'it holds links, devices or what stands above it' test -z "$(grep -vE "^[-d].* $name/" "$scratch/list"; grep -F '/../' "$scratch/list")"
check 'its files have other dates than the commit' test "$(awk '{ print $4, $5 }' "$scratch/list" | sort -u | wc -l)" = 1
for file in LICENSE NEWS.md README.md DEVELOPERS.md Makefile docs/notices.md docs/coilwright.1 .ci/packages; do
    check "it lacks $file" grep -q " $name/$file\$" "$scratch/list"
done

# ---- built from it alone ----
rm -rf "$here" "$there"
for folder in "$here" "$there"; do
    mkdir -p "$folder" && tar -C "$folder" --strip-components=1 -xzf "$scratch/$name.tar.gz"
done
check 'it holds what a build makes' test -z "$(find "$here" -name build -o -name '*.o' -o -name '*.so' -o -name '*.d')"
in_both make -s -j "${JOBS:-2}" SETUP=true all || { counts_done; exit; }
check "the compiler warned: $(grep -v '^  ' "$here.out")" test -z "$(grep -v '^  ' "$here.out")"
products() { (cd "$1/build" && find coilwright lv2 completions -type f | sort | xargs sha256sum); }
check 'another folder, another program or bundle' diff <(products "$here") <(products "$there")
check 'they tell the folder that they were built in' test -z "$(grep -rlF "$scratch" "$here/build/coilwright" "$here/build/lv2")"
check 'the program says another version' test "$("$here/build/coilwright" --version)" = "coilwright $version"
in_both make -s SETUP=true PREFIX=/usr DESTDIR="$scratch/root" install
check 'what is installed is not what was built' cmp "$scratch/root/usr/bin/coilwright" "$there/build/coilwright"

# ---- its own tests ----
own_tests() {
    cd "$here" && make -s -j "${JOBS:-2}" SETUP=true tests || return
    # shellcheck disable=SC2086 # names
    if [ "$RELEASE_TESTS" = all ]; then set --; else set -- $RELEASE_TESTS; fi
    CW_BUILD=build CW_BRIEF=1 CW_BUNDLE='' CW_PROGRAM='' sh tests/run "$@"
}
(own_tests) >"$scratch/tests.out" 2>&1
status=$?
check "its tests: $(grep -A 10 -e '^FAILED' -e '^----' "$scratch/tests.out")" test $status = 0
echo "Its own tests: $(tail -n 1 "$scratch/tests.out")"

echo "$(cat "$scratch/$name.tar.gz.sha256"), $(stat -c %s "$scratch/$name.tar.gz") bytes, of $commit"
echo "Signed is the tag, which names the commit and carries the digest: git tag -s -m 'Coilwright $version' -m 'SHA-256 $(cut -d' ' -f1 "$scratch/$name.tar.gz.sha256")' v$version"
counts_done
