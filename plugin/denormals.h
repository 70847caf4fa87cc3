/* SPDX-License-Identifier: ISC */
/** \file denormals.h
 * Denormal numbers as zero for the length of a scope.
 *
 * The state of a filter that decays in silence passes through numbers so small that some
 * processors handle them a hundred times slower. While the mode is on, results that small
 * become zero. The host's control word is put back, since it belongs to the host.
 *
 * x86 with SSE2 and ARM with a floating-point unit; elsewhere nothing is done, which is slower in
 * silence but right.
 *
 * Threading class: audio; acts on the calling thread only.
 */
#ifndef CW_DENORMALS_H
#define CW_DENORMALS_H

#include <stdint.h>

#if defined(__SSE2__)
#include <xmmintrin.h>
/* Results flushed, operands zero. Writing the word is slow, and many hosts have set both for their audio
 * thread. */
#define CW_DENORMALS_X86 0x8040u
#endif

/** What the control word was. */
struct cw_denormals {
    uint64_t word;
};

/** Denormals are zero from here. \return what cw_denormals_restore() needs. */
static inline struct cw_denormals cw_denormals_zero(void)
{
    struct cw_denormals saved = {0};
#if defined(__SSE2__)
    saved.word = _mm_getcsr();
    if ((saved.word & CW_DENORMALS_X86) != CW_DENORMALS_X86) {
        _mm_setcsr((uint32_t)saved.word | CW_DENORMALS_X86);
    }
#elif defined(__aarch64__)
    __asm__ __volatile__("mrs %0, fpcr" : "=r"(saved.word));
    __asm__ __volatile__("msr fpcr, %0" : : "r"(saved.word | (UINT64_C(1) << 24)));
#elif defined(__arm__) && defined(__ARM_FP)
    uint32_t word;
    __asm__ __volatile__("vmrs %0, fpscr" : "=r"(word));
    __asm__ __volatile__("vmsr fpscr, %0" : : "r"(word | (UINT32_C(1) << 24)));
    saved.word = word;
#endif
    return saved;
}

/** The control word as it was; where it had the mode on already, nothing is to be put back. */
static inline void cw_denormals_restore(struct cw_denormals saved)
{
#if defined(__SSE2__)
    if ((saved.word & CW_DENORMALS_X86) != CW_DENORMALS_X86) {
        _mm_setcsr((uint32_t)saved.word);
    }
#elif defined(__aarch64__)
    __asm__ __volatile__("msr fpcr, %0" : : "r"(saved.word));
#elif defined(__arm__) && defined(__ARM_FP)
    __asm__ __volatile__("vmsr fpscr, %0" : : "r"((uint32_t)saved.word));
#else
    (void)saved;
#endif
}

#endif
