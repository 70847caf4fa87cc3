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

/* The coefficients, where a processor with registers enough can keep them for a whole call. */
struct KERNEL(coefficients) {
    VEC h1[CW_SECTIONS_MAX / LANES], h2[CW_SECTIONS_MAX / LANES], h3[CW_SECTIONS_MAX / LANES];
    VEC s1_by_s1[CW_SECTIONS_MAX / LANES], s1_by_s2[CW_SECTIONS_MAX / LANES];
    VEC s2_by_s1[CW_SECTIONS_MAX / LANES], s2_by_s2[CW_SECTIONS_MAX / LANES];
    VEC out_by_s1[CW_SECTIONS_MAX][KERNEL(PARTS)], out_by_s2[CW_SECTIONS_MAX][KERNEL(PARTS)];
    VEC out_by_in[CW_HEAD_MAX][KERNEL(PARTS)];
};

INLINE void KERNEL(load)(const struct cw_parallel *f, struct KERNEL(coefficients) *k, const int modes, const int head)
{
    for (int g = 0; g * LANES < modes; g++) {
        k->h1[g] = LOAD(f->h1 + g * LANES);
        k->h2[g] = LOAD(f->h2 + g * LANES);
        k->h3[g] = LOAD(f->h3 + g * LANES);
        k->s1_by_s1[g] = LOAD(f->s1_by_s1 + g * LANES);
        k->s1_by_s2[g] = LOAD(f->s1_by_s2 + g * LANES);
        k->s2_by_s1[g] = LOAD(f->s2_by_s1 + g * LANES);
        k->s2_by_s2[g] = LOAD(f->s2_by_s2 + g * LANES);
    }
    for (int p = 0; p < KERNEL(PARTS); p++) {
        for (int i = 0; i < modes; i++) {
            k->out_by_s1[i][p] = LOAD(f->out_by_s1[i] + p * LANES);
            k->out_by_s2[i][p] = LOAD(f->out_by_s2[i] + p * LANES);
        }
        for (int i = 0; i < head; i++) {
            k->out_by_in[i][p] = LOAD(f->out_by_in[i] + p * LANES);
        }
    }
}

/* Outputs of one block. x is its first input; what comes after the last known one must be 0. Two sums are
 * kept, so that neither waits for itself. */
INLINE void KERNEL(output)(const struct KERNEL(coefficients) *c, const VEC *s1, const VEC *s2, const double *x, float *out,
                           const int groups, const int modes, const int head)
{
    double state1[CW_SECTIONS_MAX], state2[CW_SECTIONS_MAX], y[CW_BLOCK];
    for (int g = 0; g < groups; g++) {
        STORE(s1[g], state1 + g * LANES);
        STORE(s2[g], state2 + g * LANES);
    }
    for (int p = 0; p < KERNEL(PARTS); p++) {
        VEC even = c->out_by_in[0][p] * x[CW_BLOCK - 1], odd = c->out_by_in[1][p] * x[CW_BLOCK - 2];
        for (int i = 2; i < head; i++) {
            if (i & 1) {
                odd += c->out_by_in[i][p] * x[CW_BLOCK - 1 - i];
            } else {
                even += c->out_by_in[i][p] * x[CW_BLOCK - 1 - i];
            }
        }
        for (int i = 0; i < modes; i++) {
            even += c->out_by_s1[i][p] * state1[i];
            odd += c->out_by_s2[i][p] * state2[i];
        }
        STORE(even + odd, y + p * LANES);
    }
    for (int i = 0; i < CW_BLOCK; i++) {
        out[i] = (float)y[i];
    }
}

/* States one block further on, and x the first of the inputs that they have not heard. What the states bring is
 * added last: nothing else waits for them. */
INLINE void KERNEL(advance)(const struct KERNEL(coefficients) *c, VEC *s1, VEC *s2, const double *x, const int groups)
{
    for (int g = 0; g < groups; g++) {
        VEC in2 = x[2] + c->h1[g] * x[1] + c->h2[g] * x[0];
        VEC in1 = x[3] + c->h1[g] * x[2] + c->h2[g] * x[1] + c->h3[g] * x[0];
        in2 = (in2 + c->s2_by_s2[g] * s2[g]) + c->s2_by_s1[g] * s1[g];
        in1 = (in1 + c->s1_by_s2[g] * s2[g]) + c->s1_by_s1[g] * s1[g];
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
    struct KERNEL(coefficients) c;
    VEC s1[CW_SECTIONS_MAX / LANES], s2[CW_SECTIONS_MAX / LANES];
    KERNEL(load)(f, &c, modes, head);
    for (int g = 0; g < groups; g++) {
        s1[g] = LOAD(f->s1 + g * LANES);
        s2[g] = LOAD(f->s2 + g * LANES);
    }
    for (size_t b = 0; b < count; b++, x += CW_BLOCK, out += CW_BLOCK) {
        KERNEL(output)(&c, s1, s2, x, out, groups, modes, head);
        KERNEL(advance)(&c, s1, s2, x - (head - CW_BLOCK), groups);
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
