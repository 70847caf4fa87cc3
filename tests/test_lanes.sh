#!/bin/bash
# SPDX-License-Identifier: ISC
# Machine code of the functions that work on vectors of four doubles: while the upper halves of the
# vector registers are in use no instruction of the older encoding may run, not even in a function that
# is called, because processors of one maker then save and restore the halves or wait for them. (Intel 64
# and IA-32 Architectures Optimization Reference Manual, section "Mixing AVX code with SSE code".)
# So such a function, from its first use of them to its return, calls nothing, has no such instruction,
# and clears the halves (vzeroupper) before it returns or jumps elsewhere.
# Judge: objdump of binutils.
. tests/support/counts.sh

case $(uname -m) in
    x86_64) ;;
    *) skip 'no vectors of four doubles on this processor' && counts_done ;;
esac
command -v objdump >/dev/null || { skip 'objdump is not installed'; counts_done; }

# A line for each offence in the disassembly on the standard input, and at the end "functions N". Whether
# the upper halves are in use is followed along every way through a function; a jump by a table may lead
# to whatever nothing else leads to.
offences() {
    awk '
    function reach(at, state) {
        if (at in place && in_use[place[at]] < state) { in_use[place[at]] = state; changed = 1 }
    }
    function judge(   i, state, target) {
        do {
            changed = 0
            by_table = -1
            for (i = 1; i <= n; i++) if (op[i] ~ /^jmp/ && text[i] ~ /\*/ && in_use[i] > by_table) by_table = in_use[i]
            for (i = 1; i <= n; i++) {
                if (in_use[i] < 0 && by_table >= 0 && op[i - 1] ~ /^(jmp|ret|nop|data16|cs|xchg)/) in_use[i] = by_table
                if (in_use[i] < 0) continue
                state = in_use[i]
                if (text[i] ~ /%ymm/) state = 1
                if (op[i] ~ /^vzero/) state = 0
                if (op[i] ~ /^j/ && text[i] !~ /\*/) { target = text[i]; sub(/^[^ \t]*[ \t]*/, "", target); sub(/ .*/, "", target); reach(target, state) }
                if (op[i] !~ /^(jmp|ret)/ && i < n && in_use[i + 1] < state) { in_use[i + 1] = state; changed = 1 }
            }
        } while (changed)
        for (i = 1; i <= n; i++) {
            if (in_use[i] == 1 && op[i] ~ /^call/) print name, "calls with the upper halves in use:", text[i]
            if (wide && text[i] ~ /%xmm/ && op[i] !~ /^v/) print name, "has an instruction of the older encoding:", text[i]
            if (in_use[i] == 1 && (op[i] ~ /^ret/ || (op[i] ~ /^jmp/ && text[i] !~ /\+0x|\*/))) print name, "returns with the upper halves in use:", text[i]
        }
        functions += wide
    }
    /^[0-9a-f]+ <.*>:$/ { judge(); name = $2; n = 0; wide = 0; delete place; delete in_use; next }
    /^ *[0-9a-f]+:/ {
        n++
        at = $1; sub(/:/, "", at)
        place[at] = n
        op[n] = $2
        text[n] = $0; sub(/^[^:]*:[ \t]*/, "", text[n])
        in_use[n] = n == 1 ? 0 : -1
        if (/%ymm/) wide = 1
    }
    END { judge(); print "functions", functions + 0 }'
}

# Those that may have calls in them are the ones that a sanitizer instruments.
if nm "$CW_BUILD/obj/dsp/poly_roots.o" 2>/dev/null | grep -q '__[au][sb]san'; then
    skip 'instrumented code calls at every step'
    counts_done
fi
total=0
for object in "$CW_BUILD"/obj/dsp/*.o; do
    found=$(objdump -d --no-show-raw-insn "$object" | offences)
    count=${found##*functions }
    total=$((total + count))
    bad=$(grep -v '^functions' <<<"$found")
    check "$object: ${bad:-}" test -z "$bad"
done
check "vectors of four in $total functions, expected the roots and the audio loop" test "$total" -ge 2
# The reader sees what it is to see.
sample='0000 <f>:
  0:	vaddpd %ymm0,%ymm1,%ymm2
  4:	call   10 <g>
  8:	mulsd  %xmm0,%xmm1
  a:	je     d <f+0xd>
  c:	ret
  d:	vzeroupper
  f:	ret'
check 'three offences are not told' test "$(offences <<<"$sample" | grep -c '^<f>')" = 3
counts_done
