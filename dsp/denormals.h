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
 * Private to dsp/. Threading class: audio; acts on the calling thread only.
 */
#ifndef CW_DENORMALS_H
#define CW_DENORMALS_H

#include <stdint.h>

/* The mode's bits in the control word. Writing the word is slow, and many hosts have set them for their audio
 * thread. */
#if defined(__SSE2__)
#include <xmmintrin.h>
#define CW_DENORMALS_ON 0x8040u /* results flushed, operands zero */
#else
#define CW_DENORMALS_ON (UINT32_C(1) << 24)
#endif

/** What the control word was. */
struct cw_denormals {
    uint64_t word;
};

/** The calling thread's control word. */
static inline uint64_t cw_denormals_read(void)
{
#if defined(__SSE2__)
    return _mm_getcsr();
#elif defined(__aarch64__)
    uint64_t word;
    __asm__ __volatile__("mrs %0, fpcr" : "=r"(word));
    return word;
#elif defined(__arm__) && defined(__ARM_FP)
    uint32_t word;
    __asm__ __volatile__("vmrs %0, fpscr" : "=r"(word));
    return word;
#else
    return CW_DENORMALS_ON; /* nothing is to be switched */
#endif
}

/** Set it. */
static inline void cw_denormals_write(uint64_t word)
{
#if defined(__SSE2__)
    _mm_setcsr((uint32_t)word);
#elif defined(__aarch64__)
    __asm__ __volatile__("msr fpcr, %0" : : "r"(word));
#elif defined(__arm__) && defined(__ARM_FP)
    __asm__ __volatile__("vmsr fpscr, %0" : : "r"((uint32_t)word));
#else
    (void)word;
#endif
}

/** Denormals are zero from here. \return what cw_denormals_restore() needs. */
static inline struct cw_denormals cw_denormals_zero(void)
{
    const struct cw_denormals saved = {cw_denormals_read()};
    if ((saved.word & CW_DENORMALS_ON) != CW_DENORMALS_ON) {
        cw_denormals_write(saved.word | CW_DENORMALS_ON);
    }
    return saved;
}

/** The control word as it was; where it had the mode on already, nothing is to be put back. */
static inline void cw_denormals_restore(struct cw_denormals saved)
{
    if ((saved.word & CW_DENORMALS_ON) != CW_DENORMALS_ON) {
        cw_denormals_write(saved.word);
    }
}

#endif
