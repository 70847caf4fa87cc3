#!/bin/bash
# SPDX-License-Identifier: ISC
# Static analysis: clang-tidy by .clang-tidy, and cppcheck. Each file without a finding counts one. What was found in a
# file is kept in the build under the digest of all that the compiler sees of it, so that a second run is short.
. tests/support/counts.sh
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
flags=(-std=c11 -D_POSIX_C_SOURCE=200809L '-DCW_VERSION="0"' -Idsp -Iworkshop -Iworkshop/plot -Iworkshop/page -Icli -Iplugin/ui)
# shellcheck disable=SC2207 # flags have no blanks
flags+=($(pkg-config --cflags lilv-0 serd-0 sndfile cairo libebur128 kissfft-float cminpack x11 lv2))
files=(dsp/*.c workshop/*.c workshop/plot/*.c plugin/*.c plugin/ui/*.c cli/*.c ttl/*.c)

if need clang-tidy 'the sources are not analysed by it'; then
    kept=${CW_BUILD:-build}/static
    mkdir -p "$kept"
    tidy() { # FILE FLAGS...: its findings, to $scratch
        local file=$1 seen found
        found=$scratch/$(tr / _ <<<"$file").tidy
        shift
        seen=$kept/$({ clang-tidy --version; cat .clang-tidy; clang -E -C "$@" "$file"; } 2>&1 | sha256sum | cut -c1-64)
        if [ ! -e "$seen" ]; then
            clang-tidy --quiet "$file" -- "$@" >"$seen.part$$" 2>/dev/null
            mv "$seen.part$$" "$seen"
        fi
        cp "$seen" "$found"
    }
    export -f tidy
    export scratch kept
    printf '%s\n' "${files[@]}" | xargs -P "${JOBS:-2}" -I{} bash -c 'tidy "$@"' bash {} "${flags[@]}"
    cat "$scratch"/*.tidy | sed -n "s|^$PWD/||; s/^\([^:]*\):[0-9]*:[0-9]*: \(warning\|error\): .*\[\([^]]*\)\]\$/\1 \3/p" | sort -u >"$scratch/found"
    grep -v '^#' tests/support/static-known.txt | cut -d' ' -f1,2 | sort -u >"$scratch/known"
    for file in "${files[@]}"; do
        new=$(grep "^$file " "$scratch/found" | comm -23 - "$scratch/known")
        [ -z "$new" ] && pass && continue
        fail "clang-tidy: $new"
        grep -h "/$file:.*\(warning\|error\):" "$scratch"/*.tidy | head -n 5
    done
    stale=$(comm -13 "$scratch/found" "$scratch/known")
    [ -z "$stale" ] || echo "no longer needed in tests/support/static-known.txt: $stale"
    printf 'int f(int *p);\nint f(int *p) { if (!p) { return *p; } return 0; }\n' >"$scratch/bad.c"
    check 'clang-tidy finds nothing at all' grep -q NullDereference <<<"$(clang-tidy --quiet --config-file=.clang-tidy "$scratch/bad.c" -- 2>/dev/null)"
fi

if need cppcheck 'the sources are not analysed by it'; then
    kept_too=${CW_BUILD:-build}/cppcheck
    mkdir -p "$kept_too"
    look() { cppcheck --quiet "--cppcheck-build-dir=$kept_too" --enable=warning,performance,portability --inline-suppr --std=c11 --error-exitcode=3 -j "${JOBS:-2}" \
        --suppressions-list=tests/support/cppcheck.txt -Idsp -Iworkshop -Iworkshop/plot -Iworkshop/page -Iplugin -Iplugin/ui -Icli '-DCW_VERSION="0"' "$@" 2>"$scratch/log"; }
    for folder in dsp workshop workshop/plot plugin plugin/ui cli ttl; do
        if look $folder/*.c; then pass; else fail "cppcheck of $folder: $(head -n 12 "$scratch/log")"; fi
    done
    printf 'void f(void);\nvoid f(void) { int a[2]; a[3] = 0; }\n' >"$scratch/bad.c"
    check 'cppcheck finds nothing at all' bash -c '! cppcheck --quiet --error-exitcode=3 "$1" 2>/dev/null' x "$scratch/bad.c"
fi

counts_done
