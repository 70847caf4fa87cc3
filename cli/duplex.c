/* SPDX-License-Identifier: ISC */
#include "duplex.h"

#include "message.h"

#if defined(__has_include)
#if __has_include(<jack/jack.h>)
#define HAVE_JACK 1
#endif
#endif

#ifdef HAVE_JACK

#include <dlfcn.h>
#include <jack/jack.h>
#include <math.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

/* ---- the library --------------------------------------------------------------------------------- */

/* What is used of it. */
struct library {
    void *handle;
    void (*silence_errors)(void (*)(const char *));
    void (*silence_news)(void (*)(const char *));
    jack_client_t *(*client_open)(const char *, jack_options_t, jack_status_t *, ...);
    int (*client_close)(jack_client_t *);
    int (*on_process)(jack_client_t *, JackProcessCallback, void *);
    int (*on_xrun)(jack_client_t *, JackXRunCallback, void *);
    void (*on_shutdown)(jack_client_t *, JackShutdownCallback, void *);
    int (*activate)(jack_client_t *);
    jack_nframes_t (*rate)(jack_client_t *);
    jack_nframes_t (*block_time)(const jack_client_t *);
    jack_port_t *(*port_register)(jack_client_t *, const char *, const char *, unsigned long, unsigned long);
    void *(*port_buffer)(jack_port_t *, jack_nframes_t);
    const char *(*port_name)(const jack_port_t *);
    const char **(*ports)(jack_client_t *, const char *, const char *, unsigned long);
    int (*connect)(jack_client_t *, const char *, const char *);
    void (*release)(void *);
};

static const struct {
    const char *name;
    size_t at;
} symbol[] = {
    {"jack_set_error_function", offsetof(struct library, silence_errors)},
    {"jack_set_info_function", offsetof(struct library, silence_news)},
    {"jack_client_open", offsetof(struct library, client_open)},
    {"jack_client_close", offsetof(struct library, client_close)},
    {"jack_set_process_callback", offsetof(struct library, on_process)},
    {"jack_set_xrun_callback", offsetof(struct library, on_xrun)},
    {"jack_on_shutdown", offsetof(struct library, on_shutdown)},
    {"jack_activate", offsetof(struct library, activate)},
    {"jack_get_sample_rate", offsetof(struct library, rate)},
    {"jack_last_frame_time", offsetof(struct library, block_time)},
    {"jack_port_register", offsetof(struct library, port_register)},
    {"jack_port_get_buffer", offsetof(struct library, port_buffer)},
    {"jack_port_name", offsetof(struct library, port_name)},
    {"jack_get_ports", offsetof(struct library, ports)},
    {"jack_connect", offsetof(struct library, connect)},
    {"jack_free", offsetof(struct library, release)},
};

static void be_silent(const char *text) { (void)text; }

static bool load(struct library *library)
{
    library->handle = dlopen("libjack.so.0", RTLD_NOW | RTLD_LOCAL);
    if (!library->handle) {
        cw_error("JACK's library cannot be loaded (%s): install libjack, or PipeWire's", dlerror());
        return false;
    }
    for (size_t i = 0; i < sizeof symbol / sizeof symbol[0]; i++) {
        void *found = dlsym(library->handle, symbol[i].name);
        if (!found) {
            cw_error("JACK's library lacks %s", symbol[i].name);
            return false;
        }
        memcpy((char *)library + symbol[i].at, &found, sizeof found);
    }
    library->silence_errors(be_silent);
    library->silence_news(be_silent);
    return true;
}

/* ---- the audio thread ---------------------------------------------------------------------------- */

struct cw_duplex {
    struct library library;
    jack_client_t *client;
    jack_port_t *out, *in[2];
    const float *play;
    float *record[2];
    size_t frames;
    atomic_size_t done; /* frames, where nothing is under way */
    atomic_uint lost;
    atomic_bool gone, running;
    _Atomic float peak[2];
    jack_nframes_t expected; /* time of the next block; the audio thread's own */
    bool counting;           /* there was a block before */
};

static void note_peak(struct cw_duplex *d, int channel, const float *in, size_t n)
{
    float most = atomic_load_explicit(&d->peak[channel], memory_order_relaxed);
    for (size_t i = 0; i < n; i++) {
        most = fmaxf(most, fabsf(in[i]));
    }
    atomic_store_explicit(&d->peak[channel], most, memory_order_relaxed);
}

/* Blocks that do not follow one another: samples were lost between them. */
static void note_time(struct cw_duplex *d, jack_nframes_t n)
{
    jack_nframes_t now = d->library.block_time(d->client);
    if (d->counting && now != d->expected) {
        atomic_fetch_add(&d->lost, 1);
    }
    d->expected = now + n;
    d->counting = true;
}

static int process(jack_nframes_t n, void *to)
{
    struct cw_duplex *d = to;
    float *out = d->library.port_buffer(d->out, n);
    const float *in[2] = {d->library.port_buffer(d->in[0], n), d->library.port_buffer(d->in[1], n)};
    size_t at = 0, count = 0;
    note_time(d, n);
    if (atomic_load_explicit(&d->running, memory_order_acquire)) {
        at = atomic_load_explicit(&d->done, memory_order_relaxed);
        count = d->frames - at < n ? d->frames - at : n;
    }
    memset(out, 0, n * sizeof *out);
    if (count > 0 && d->play) {
        memcpy(out, d->play + at, count * sizeof *out);
    }
    for (int channel = 0; channel < 2; channel++) {
        note_peak(d, channel, in[channel], n);
        if (count > 0) {
            memcpy(d->record[channel] + at, in[channel], count * sizeof *out);
        }
    }
    if (count > 0) {
        if (at + count == d->frames) {
            atomic_store_explicit(&d->running, false, memory_order_relaxed);
        }
        atomic_store_explicit(&d->done, at + count, memory_order_release);
    }
    return 0;
}

static int note_xrun(void *to)
{
    struct cw_duplex *d = to;
    atomic_fetch_add(&d->lost, 1);
    return 0;
}

static void note_end(void *to)
{
    struct cw_duplex *d = to;
    atomic_store(&d->gone, true);
}

/* ---- ports --------------------------------------------------------------------------------------- */

static bool join(struct cw_duplex *d, const char *from, const char *to, const char *wanted)
{
    int failed = d->library.connect(d->client, from, to);
    if (failed) {
        cw_error("expected a port of JACK, found '%s', which cannot be connected (jack_lsp lists them)", wanted);
    }
    return !failed;
}

/* Connects the ports that nobody named to the first ones that belong to a device.
 * \param sinks of the device: JackPortIsInput; \param own, wanted of count ports */
static bool join_all(struct cw_duplex *d, unsigned long kind, jack_port_t *const *own, const char *const *wanted,
                     int count)
{
    const char **found =
        d->library.ports(d->client, NULL, JACK_DEFAULT_AUDIO_TYPE, kind | (unsigned long)JackPortIsPhysical);
    int there = 0;
    while (found && found[there]) {
        there++;
    }
    bool good = true;
    for (int i = 0; i < count && good; i++) {
        const char *other = wanted[i] ? wanted[i] : i < there ? found[i] : NULL;
        const char *mine = d->library.port_name(own[i]);
        if (!other) {
            cw_error("expected a device with %d port%s to %s in JACK, found %d: name ports (--play, --channel-1, "
                     "--channel-2)",
                     count, count > 1 ? "s" : "", kind == JackPortIsInput ? "play by" : "record from", there);
            good = false;
        } else {
            good = kind == JackPortIsInput ? join(d, mine, other, other) : join(d, other, mine, other);
        }
    }
    if (found) {
        d->library.release(found);
    }
    return good;
}

static bool make_ports(struct cw_duplex *d)
{
    static const char *const name[] = {"channel_1", "channel_2"};
    d->out = d->library.port_register(d->client, "sweep", JACK_DEFAULT_AUDIO_TYPE, JackPortIsOutput, 0);
    for (int i = 0; i < 2; i++) {
        d->in[i] = d->library.port_register(d->client, name[i], JACK_DEFAULT_AUDIO_TYPE, JackPortIsInput, 0);
    }
    if (!d->out || !d->in[0] || !d->in[1]) {
        cw_error("the JACK server gives no ports");
    }
    return d->out && d->in[0] && d->in[1];
}

/* ---- what a caller sees -------------------------------------------------------------------------- */

static bool enter(struct cw_duplex *d, const struct cw_duplex_ports *ports)
{
    jack_status_t status = (jack_status_t)0;
    if (!load(&d->library)) {
        return false;
    }
    d->client = d->library.client_open("coilwright", JackNoStartServer, &status);
    if (!d->client) {
        cw_error("no JACK server answers: start one, or run this through pw-jack where PipeWire is the server");
        return false;
    }
    d->library.on_process(d->client, process, d);
    d->library.on_xrun(d->client, note_xrun, d);
    d->library.on_shutdown(d->client, note_end, d);
    if (!make_ports(d)) {
        return false;
    }
    if (d->library.activate(d->client)) {
        cw_error("the JACK server does not run this client");
        return false;
    }
    return join_all(d, JackPortIsInput, &d->out, &ports->play, 1) &&
           join_all(d, JackPortIsOutput, d->in, ports->channel, 2);
}

struct cw_duplex *cw_duplex_open(const struct cw_duplex_ports *ports)
{
    struct cw_duplex *d = calloc(1, sizeof *d);
    if (!d) {
        cw_error_memory();
        return NULL;
    }
    if (!enter(d, ports)) {
        cw_duplex_close(d);
        return NULL;
    }
    return d;
}

void cw_duplex_close(struct cw_duplex *d)
{
    if (d) {
        if (d->client && !atomic_load(&d->gone)) {
            d->library.client_close(d->client);
        }
        /* the library stays: its threads may still be on their way out */
        free(d);
    }
}

double cw_duplex_rate(const struct cw_duplex *d) { return (double)d->library.rate(d->client); }

void cw_duplex_start(struct cw_duplex *d, const float *play, float *const record[2], size_t frames)
{
    d->play = play;
    d->record[0] = record[0];
    d->record[1] = record[1];
    d->frames = frames;
    atomic_store(&d->done, 0);
    atomic_store(&d->lost, 0);
    atomic_store_explicit(&d->running, true, memory_order_release);
}

size_t cw_duplex_done(struct cw_duplex *d) { return atomic_load_explicit(&d->done, memory_order_acquire); }

unsigned cw_duplex_lost(struct cw_duplex *d) { return atomic_load(&d->lost); }

double cw_duplex_peak(struct cw_duplex *d, int channel) { return (double)atomic_exchange(&d->peak[channel], 0.0f); }

bool cw_duplex_alive(struct cw_duplex *d) { return !atomic_load(&d->gone); }

#else

struct cw_duplex *cw_duplex_open(const struct cw_duplex_ports *ports)
{
    (void)ports;
    cw_error("this build cannot play and record: jack/jack.h was not there when it was made (install libjack's "
             "development files and run make again)");
    return NULL;
}

void cw_duplex_close(struct cw_duplex *d) { (void)d; }

double cw_duplex_rate(const struct cw_duplex *d)
{
    (void)d;
    return 0.0;
}

void cw_duplex_start(struct cw_duplex *d, const float *play, float *const record[2], size_t frames)
{
    (void)d;
    (void)play;
    (void)record;
    (void)frames;
}

size_t cw_duplex_done(struct cw_duplex *d)
{
    (void)d;
    return 0;
}

unsigned cw_duplex_lost(struct cw_duplex *d)
{
    (void)d;
    return 0;
}

double cw_duplex_peak(struct cw_duplex *d, int channel)
{
    (void)d;
    (void)channel;
    return 0.0;
}

bool cw_duplex_alive(struct cw_duplex *d)
{
    (void)d;
    return false;
}

#endif
