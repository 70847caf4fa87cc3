# SPDX-License-Identifier: ISC
# live_native FILE: compiles the live page's core as a program of this machine (live_sound.c), from the project's root.
#
# Where this machine has fused multiplication, the program's audio loop uses it, and rounds once where WebAssembly,
# which has none, rounds twice. So the loop is compiled anew without, as all else of the core is.
live_native() {
    cc -std=c11 -O2 -fno-math-errno -ffp-contract=off -Idsp -Iworkshop -Iworkshop/page -o "$1" tests/support/live_sound.c \
        workshop/page/live.c dsp/parallel.c "${CW_BUILD:-build}/libworkshop.a" "${CW_BUILD:-build}/libcoilwright.a" -lm
}
