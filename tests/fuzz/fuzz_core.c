/* SPDX-License-Identifier: ISC */
/* The plugin as a hostile host would run it: any float in any control, any samples, blocks of any
 * size, in any order. Nothing but numbers may come out, and no more than the documented bound
 * (docs/robustness.md) over the loudest sample that went in. */
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include <lv2/core/lv2.h>

#include "fuzz.h"
#include "setup.h"

enum { INPUTS = CW_PORT_METER - CW_PORT_GLOBAL, METERS = CW_PORTS - CW_PORT_METER, BLOCK_MAX = 256, STEPS_MAX = 64 };

/* Over boost limit and trim, whatever the waveform. */
static const double WAVEFORM_DB = 18.0;

struct session {
    const LV2_Descriptor *plugin;
    LV2_Handle handle;
    float input[INPUTS], meter[METERS];
    bool connected;
    double trim, limit; /* in force, in dB */
    double loudest;     /* sample that went in since the last activation */
    double most_db;     /* highest boost limit plus trim since then */
};

static void take_globals(struct session *s)
{
    if (s->connected) {
        s->trim = cw_param_clean(&cw_global_info[CW_G_TRIM], (double)s->input[CW_G_TRIM], s->trim);
        s->limit = cw_param_clean(&cw_global_info[CW_G_BOOST_LIMIT], (double)s->input[CW_G_BOOST_LIMIT], s->limit);
    }
    s->most_db = fmax(s->most_db, fmax(s->trim + s->limit, 0.0)); /* disabled is 0 dB */
}

static void set_any(struct session *s, struct fuzz_bytes *bytes)
{
    unsigned port = fuzz_word(bytes) % INPUTS;
    s->input[port] = fuzz_float(bytes);
}

static const struct cw_param_info *info_of(unsigned input)
{
    return input < CW_GLOBALS ? &cw_global_info[input] : &cw_param_info[(input - CW_GLOBALS) % CW_PARAMS];
}

static void set_in_range(struct session *s, struct fuzz_bytes *bytes)
{
    unsigned port = fuzz_byte(bytes) % INPUTS;
    const struct cw_param_info *info = info_of(port);
    double share = fuzz_byte(bytes) / 255.0;
    s->input[port] = (float)(info->flags & CW_LOG ? info->minimum * pow(info->maximum / info->minimum, share)
                                                  : info->minimum + (info->maximum - info->minimum) * share);
}

static float sample(unsigned kind, int i, float any)
{
    switch (kind) {
    case 0: return 0.0f;
    case 1: return i & 1 ? -1.0f : 1.0f;
    case 2: return i / 16 & 1 ? -1.0f : 1.0f;
    case 3: return (float)((i * 7919) % 2001 - 1000) * 1e-3f;
    case 4: return i == 0 ? 1.0f : 0.0f;
    case 5: return 1e-39f;
    default: return any;
    }
}

static void run(struct session *s, struct fuzz_bytes *bytes)
{
    float in[BLOCK_MAX + 1], out[BLOCK_MAX + 1];
    unsigned shape = fuzz_byte(bytes), kind = shape % 8;
    int n = fuzz_byte(bytes);
    float any = kind > 5 ? fuzz_float(bytes) : 0.0f;
    for (int i = 0; i < n; i++) {
        in[i] = sample(kind, i, any);
        bool sound = fabsf(in[i]) < 1e30f; /* anything else counts as silence */
        s->loudest = sound ? fmax(s->loudest, fabs((double)in[i])) : s->loudest;
    }
    take_globals(s);
    float *to = shape & 128 ? in : out;
    to[n] = 12345.0f;
    s->plugin->connect_port(s->handle, CW_PORT_IN, in);
    s->plugin->connect_port(s->handle, CW_PORT_OUT, to);
    s->plugin->run(s->handle, (uint32_t)n);
    FUZZ_REQUIRE(to[n] == 12345.0f);
    double bound = s->loudest * pow(10.0, 0.05 * (s->most_db + WAVEFORM_DB));
    for (int i = 0; i < n; i++) {
        FUZZ_REQUIRE(isfinite(to[i]) && fabs((double)to[i]) <= bound + 1e-30);
    }
    for (int i = 0; i < METERS; i++) {
        FUZZ_REQUIRE(isfinite(s->meter[i]));
    }
}

static void activate(struct session *s)
{
    s->plugin->activate(s->handle);
    s->loudest = s->most_db = 0.0;
}

static void connect_all(struct session *s, bool really)
{
    s->connected = really;
    for (unsigned i = 0; i < INPUTS; i++) {
        s->plugin->connect_port(s->handle, CW_PORT_GLOBAL + i, really ? &s->input[i] : NULL);
    }
    for (unsigned i = 0; i < METERS; i++) {
        s->plugin->connect_port(s->handle, CW_PORT_METER + i, really ? &s->meter[i] : NULL);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const double rates[] = {44100, 48000, 96000, 192000, 8000, 384000, 22050, 11025};
    static struct session s;
    struct fuzz_bytes bytes = {data, size};
    memset(&s, 0, sizeof s);
    s.plugin = lv2_descriptor(0);
    s.handle = s.plugin->instantiate(s.plugin, rates[fuzz_byte(&bytes) % 8], "", NULL);
    for (unsigned i = 0; i < INPUTS; i++) {
        s.input[i] = (float)info_of(i)->preset;
    }
    s.trim = cw_global_info[CW_G_TRIM].preset;
    s.limit = cw_global_info[CW_G_BOOST_LIMIT].preset;
    connect_all(&s, true);
    activate(&s);
    for (int steps = 0; steps < STEPS_MAX && bytes.left > 0; steps++) {
        switch (fuzz_byte(&bytes) % 16) {
        case 0:
        case 1:
        case 2:
        case 3:
        case 4:
        case 5:
        case 6: set_in_range(&s, &bytes); break;
        case 7:
        case 8:
        case 9: set_any(&s, &bytes); break;
        case 10: activate(&s); break;
        case 11: connect_all(&s, fuzz_byte(&bytes) & 1); break;
        default: run(&s, &bytes); break;
        }
    }
    s.plugin->cleanup(s.handle);
    return 0;
}
