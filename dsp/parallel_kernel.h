/* The inner loop of parallel.c, included once for each width of vector. KERNEL(name) makes names of its
 * own, LANES is the number of doubles in a vector: 2 or 4. gcc and clang know this form on every
 * processor, but it is quick only where the processor's own vectors are that long. */

typedef double KERNEL(vec) __attribute__((vector_size(8 * LANES)));
/* The same as it lies among doubles and floats. */
typedef double KERNEL(stored) __attribute__((vector_size(8 * LANES), aligned(8), may_alias));

#define VEC KERNEL(vec)
#define LOAD(from) (*(const KERNEL(stored) *)(from))
#define STORE(v, to) (*(KERNEL(stored) *)(to) = (v))

enum { KERNEL(PARTS) = CW_BLOCK / LANES }; /* vectors in a block of output */

/* Outputs of one block. x is its first input; what comes after the last known one must be 0. Two sums are
 * kept, so that neither waits for itself. */
INLINE void KERNEL(output)(const struct cw_parallel *f, const VEC *s1, const VEC *s2, const double *x, double *y,
                           const int groups, const int modes, const int head)
{
    double state1[CW_SECTIONS_MAX], state2[CW_SECTIONS_MAX];
    for (int g = 0; g < groups; g++) {
        STORE(s1[g], state1 + g * LANES);
        STORE(s2[g], state2 + g * LANES);
    }
    for (int p = 0; p < KERNEL(PARTS); p++) {
        VEC even = LOAD(f->out_by_in[0] + p * LANES) * x[CW_BLOCK - 1];
        VEC odd = LOAD(f->out_by_in[1] + p * LANES) * x[CW_BLOCK - 2];
        for (int i = 2; i < head; i++) {
            if (i & 1) {
                odd += LOAD(f->out_by_in[i] + p * LANES) * x[CW_BLOCK - 1 - i];
            } else {
                even += LOAD(f->out_by_in[i] + p * LANES) * x[CW_BLOCK - 1 - i];
            }
        }
        for (int i = 0; i < modes; i++) {
            even += LOAD(f->out_by_s1[i] + p * LANES) * state1[i];
            odd += LOAD(f->out_by_s2[i] + p * LANES) * state2[i];
        }
        STORE(even + odd, y + p * LANES);
    }
}

/* States one block further on; x is the input that the lanes hear at the first sample of the next block, less
 * a block. The states of the last block are added last: nothing else waits for them. */
INLINE void KERNEL(advance)(const struct cw_parallel *f, VEC *s1, VEC *s2, const double *x, const int groups)
{
    for (int g = 0; g < groups; g++) {
        int i = g * LANES;
        VEC in2 = x[2] + LOAD(f->h1 + i) * x[1] + LOAD(f->h2 + i) * x[0];
        VEC in1 = x[3] + LOAD(f->h1 + i) * x[2] + LOAD(f->h2 + i) * x[1] + LOAD(f->h3 + i) * x[0];
        in2 = (in2 + LOAD(f->s2_by_s2 + i) * s2[g]) + LOAD(f->s2_by_s1 + i) * s1[g];
        in1 = (in1 + LOAD(f->s1_by_s2 + i) * s2[g]) + LOAD(f->s1_by_s1 + i) * s1[g];
        s1[g] = in1;
        s2[g] = in2;
    }
}

/* modes and head are constants at each call, so that loops unroll and the states live in registers. x: the
 * first block's first input, with `head` - CW_BLOCK older ones before it and zeros behind the last. */
INLINE void KERNEL(blocks)(struct cw_parallel *f, const double *x, float *out, size_t count, const int modes,
                           const int head)
{
    const int groups = (modes + LANES - 1) / LANES;
    VEC s1[CW_SECTIONS_MAX / LANES], s2[CW_SECTIONS_MAX / LANES];
    for (int g = 0; g < groups; g++) {
        s1[g] = LOAD(f->s1 + g * LANES);
        s2[g] = LOAD(f->s2 + g * LANES);
    }
    for (size_t b = 0; b < count; b++, x += CW_BLOCK, out += CW_BLOCK) {
        double y[CW_BLOCK];
        KERNEL(output)(f, s1, s2, x, y, groups, modes, head);
        KERNEL(advance)(f, s1, s2, x - (head - CW_BLOCK), groups);
        for (int i = 0; i < CW_BLOCK; i++) {
            out[i] = (float)y[i];
        }
    }
    for (int g = 0; g < groups; g++) {
        STORE(s1[g], f->s1 + g * LANES);
        STORE(s2[g], f->s2 + g * LANES);
    }
}

#undef VEC
#undef LOAD
#undef STORE
#undef KERNEL
#undef LANES
