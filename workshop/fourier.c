/* SPDX-License-Identifier: ISC */
#include "fourier.h"

#include <math.h>
#include <stdlib.h>

#include "constants.h"

size_t cw_fourier_size(size_t frames)
{
    size_t size = 2;
    while (size < frames) {
        size *= 2;
    }
    return size;
}

bool cw_fourier_init(struct cw_fourier *fourier, size_t size)
{
    fourier->size = size;
    fourier->turn = malloc(size / 2 * sizeof *fourier->turn);
    for (size_t k = 0; fourier->turn && k < size / 2; k++) {
        double angle = CW_TAU * (double)k / (double)size;
        fourier->turn[k] = (struct cw_complex){cos(angle), -sin(angle)};
    }
    return fourier->turn != NULL;
}

void cw_fourier_free(struct cw_fourier *fourier)
{
    free(fourier->turn);
    *fourier = (struct cw_fourier){0};
}

static void swap(struct cw_complex *a, struct cw_complex *b)
{
    struct cw_complex held = *a;
    *a = *b;
    *b = held;
}

/* Into the order of their mirrored binary numbers. */
static void mirror(struct cw_complex *x, size_t size)
{
    for (size_t i = 1, other = 0; i < size; i++) {
        size_t bit = size / 2;
        for (; other & bit; bit /= 2) {
            other ^= bit;
        }
        other ^= bit;
        if (i < other) {
            swap(&x[i], &x[other]);
        }
    }
}

void cw_fourier_forward(const struct cw_fourier *fourier, struct cw_complex *x)
{
    size_t size = fourier->size;
    mirror(x, size);
    for (size_t half = 1; half < size; half *= 2) {
        size_t every = size / 2 / half;
        for (size_t from = 0; from < size; from += 2 * half) {
            for (size_t k = 0; k < half; k++) {
                struct cw_complex turn = fourier->turn[k * every], *a = &x[from + k], *b = a + half;
                struct cw_complex turned = {b->re * turn.re - b->im * turn.im, b->re * turn.im + b->im * turn.re};
                *b = (struct cw_complex){a->re - turned.re, a->im - turned.im};
                *a = (struct cw_complex){a->re + turned.re, a->im + turned.im};
            }
        }
    }
}

/* The other direction is the same with time reversed. */
void cw_fourier_back(const struct cw_fourier *fourier, struct cw_complex *x)
{
    cw_fourier_forward(fourier, x);
    for (size_t i = 1; i < fourier->size / 2; i++) {
        swap(&x[i], &x[fourier->size - i]);
    }
}
