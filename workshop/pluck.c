/* SPDX-License-Identifier: ISC */
/* One plucked string: a loop of delay, loss and fractional delay. */
#include "pluck.h"

#include <math.h>
#include <string.h>

#include "constants.h"

enum { RING = 4096 }; /* samples; a power of two, above two periods of 40 Hz at 48 kHz */

/* Frequency at which decay_high holds. */
static const double HIGH_HZ = 5000.0;
/* The pick's noise against the string's own wave. */
static const double PICK_NOISE = 0.02;
/* The hand needs this long to damp a string, to 1/e. */
static const double DAMP_SECONDS = 0.025;

struct loop {
    float ring[RING]; /* the string's travelling wave at the bridge */
    long at;          /* of the next sample */
    long delay;       /* whole samples */
    double allpass;   /* coefficient of the fractional delay */
    double side, mid; /* three symmetric taps of loss: one sample of delay at every frequency */
    double previous;  /* last input of the allpass */
};

static uint32_t next_random(uint32_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    return *state;
}

static double noise(uint32_t *state) { return (double)next_random(state) / 2147483648.0 - 1.0; }

/* A step from 0 to 1 around 0, round over +-width. */
static double soft_step(double x, double width)
{
    if (x <= -width)
        return 0.0;
    if (x >= width)
        return 1.0;
    return 0.5 + 0.5 * sin(0.25 * CW_TAU * x / width);
}

/* Velocity wave of a string pulled to a corner at share `pick` of its length, over one round
 * trip; phase in periods. It is even around 0 and has no mean: high for |phase| < pick / 2. */
static double pluck_shape(double phase, double pick, double width)
{
    phase = fabs(phase - floor(phase + 0.5));
    double inside = 1.0 - soft_step(phase - 0.5 * pick, width);
    return inside / pick - (1.0 - inside) / (1.0 - pick);
}

static float *ring_at(struct loop *loop, long index) { return &loop->ring[index & (RING - 1)]; }

static double loss_of(struct loop *loop, long n)
{
    double ends = (double)*ring_at(loop, n - loop->delay) + (double)*ring_at(loop, n - loop->delay - 2);
    return loop->side * ends + loop->mid * (double)*ring_at(loop, n - loop->delay - 1);
}

/* The taps that decay as asked at the fundamental and at HIGH_HZ. */
static void set_loss(struct loop *loop, const struct cw_pluck *note, double rate)
{
    double low = pow(10.0, -3.0 / (note->hz * note->decay));
    double high = pow(10.0, -3.0 / (note->hz * note->decay_high));
    double k_low = 1.0 - cos(CW_TAU * note->hz / rate), k_high = 1.0 - cos(CW_TAU * HIGH_HZ / rate);
    double ratio = high / low;
    double c = (1.0 - ratio) / (2.0 * (k_high - ratio * k_low));
    c = fmin(c, 0.25); /* above, the loop would gain again near the top of the band */
    double gain = low / (1.0 - 2.0 * c * k_low);
    loop->side = gain * c;
    loop->mid = gain * (1.0 - 2.0 * c);
}

/* Whole and fractional delay of one period, exact in phase at the fundamental. */
static void set_period(struct loop *loop, double hz, double rate)
{
    double rest = rate / hz - 1.0; /* the loss delays by one */
    loop->delay = (long)floor(rest - 0.5);
    double fraction = rest - (double)loop->delay; /* 0.5..1.5 */
    double w = CW_TAU * hz / rate;
    loop->allpass = sin(0.5 * (1.0 - fraction) * w) / sin(0.5 * (1.0 + fraction) * w);
}

/* Fill the ring with the periods before the pick lets go, so that the pickup at `offset` samples
 * of delay starts from rest. */
static void fill(struct loop *loop, const struct cw_pluck *note, double rate, double offset)
{
    uint32_t random = note->seed;
    double period = rate / note->hz;
    double width = fmax(note->softness * note->hz, 1.0 / period);
    for (long n = -RING; n < 0; n++) {
        double phase = ((double)n + 0.5 * offset) / period;
        double wave = pluck_shape(phase, note->pick_at, width) + PICK_NOISE / note->pick_at * noise(&random);
        *ring_at(loop, n) = (float)wave;
    }
    loop->at = 0;
    loop->previous = loss_of(loop, -1);
}

static float step(struct loop *loop)
{
    double in = loss_of(loop, loop->at);
    double out = loop->allpass * (in - (double)*ring_at(loop, loop->at - 1)) + loop->previous;
    loop->previous = in;
    *ring_at(loop, loop->at++) = (float)out;
    return (float)out;
}

void cw_pluck_add(const struct cw_pluck *note, double rate, float *out, size_t frames)
{
    struct loop loop;
    memset(&loop, 0, sizeof loop);
    long offset = lround(note->pickup_at * rate / note->hz);
    set_loss(&loop, note, rate);
    set_period(&loop, note->hz, rate);
    fill(&loop, note, rate, (double)offset);
    size_t first = (size_t)llround(note->start * rate), damped = (size_t)llround(note->stop * rate);
    double level = note->amplitude * note->pick_at; /* the wave's height is 1 / pick_at */
    for (size_t i = first; i < frames && level > 1e-7; i++) {
        double bridge = (double)step(&loop);
        /* What runs towards the pickup less what comes back from the bridge. */
        out[i] += (float)(level * (bridge - (double)*ring_at(&loop, loop.at - 1 - offset)));
        if (i >= damped)
            level *= exp(-1.0 / (DAMP_SECONDS * rate));
    }
}
