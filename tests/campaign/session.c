/* SPDX-License-Identifier: ISC */
/* A long session in accelerated time: `session HOURS SEED`. Playing and silence, automation, presets, flips, restarts,
 * changes of rate, the window opened, drawn and closed. What must hold: every sample finite and below the guard's
 * bound; with the controls back at their defaults and the audio forgotten the sound of the first minute, bit for bit
 * (no drift); memory that does not grow; and a decay into silence that takes no longer than playing (denormal numbers).
 * Exit status 1 where one does not. */
#include <glob.h>
#include <malloc.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "deaf_host.h"
#include "draw.h"
#include "host.h"
#include "setup.h"
#include "view.h"
#include "view_state.h"

enum { RATES = 4, CHECK = 4096, SLICE_MOST = 40000, WARM = 2, PRESETS_MOST = 64, PORTS_MOST = 256 };
static const double RATE[RATES] = {44100, 48000, 96000, 192000};
static const double GROWTH_MOST = 64 * 1024.0; /* bytes, from the third hour on */
static const double SLOWER_MOST = 2.0;
static const float LOUDEST = 1e4f; /* 60 dB limit, 12 dB trim and 18 dB over an input of 1 stay below it */

struct session {
    struct host *host;
    int rate;
    uint32_t random;
    float preset[PRESETS_MOST][PORTS_MOST];
    int presets;
    float first[RATES][CHECK];
    bool known[RATES];
    float in[SLICE_MOST], out[SLICE_MOST];
    long presets_loaded, rate_changes, windows, moves;
    double in_use; /* bytes, with no instance there */
    int bad;
};

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double draw(struct session *s) { return host_random_unit(&s->random); }

static double in_use(void)
{
    struct mallinfo2 info = mallinfo2();
    return (double)info.uordblks + (double)info.hblkhd;
}

static void fault(struct session *s, double hours, const char *what, double figure)
{
    s->bad++;
    printf("FAIL at %.3f h, %.0f Hz: %s (%g)\n", hours, RATE[s->rate], what, figure);
}

/* A string that is plucked and rings out, or nothing at all. */
static void play(struct session *s, size_t n, bool silent)
{
    double level = silent ? 0.0 : 0.9 * draw(s), fall = exp(-6.0 * draw(s) / RATE[s->rate]);
    for (size_t i = 0; i < n; i++) {
        s->in[i] = (float)(level * (2.0 * draw(s) - 1.0));
        level *= fall;
    }
}

static void run(struct session *s, size_t n, double hours)
{
    host_run_random(s->host, s->in, s->out, n, 1024, host_random(&s->random));
    for (size_t i = 0; i < n; i++) {
        if (!(fabsf(s->out[i]) <= LOUDEST)) {
            fault(s, hours, "a sample that is no number, or too loud", (double)s->out[i]);
            return;
        }
    }
}

static void move_one(struct session *s)
{
    size_t port = host_random(&s->random) % host_ports(s->host);
    float low, high, preset;
    if (host_is_control_input(s->host, port)) {
        host_range(s->host, port, &low, &high, &preset);
        host_set(s->host, host_symbol(s->host, port), low + (float)draw(s) * (high - low));
        s->moves++;
    }
}

static void load_one(struct session *s)
{
    const float *value = s->preset[host_random(&s->random) % (uint32_t)s->presets];
    for (size_t i = 0; i < host_ports(s->host); i++) {
        if (host_is_control_input(s->host, i)) {
            host_set(s->host, host_symbol(s->host, i), value[i]);
        }
    }
    s->presets_loaded++;
}

static void change_rate(struct session *s)
{
    host_free(s->host);
    s->rate = (int)(host_random(&s->random) % RATES);
    s->host = host_new(RATE[s->rate]);
    s->rate_changes++;
}

/* The window is opened, drawn with some values of its own, and closed. */
static void window(struct session *s)
{
    struct cw_view *view = malloc(sizeof *view);
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 900, 600);
    cairo_t *cr = cairo_create(surface);
    if (view) {
        cw_view_init(view, &deaf_host);
        cw_view_size(view, 900, 600);
        for (int i = 0; i < 20; i++) {
            int id = (int)(host_random(&s->random) % CW_PARAMS);
            const struct cw_param_info *info = &cw_param_info[id];
            cw_view_port(view, cw_port_of_param(CW_A, (enum cw_param_id)id),
                         info->minimum + draw(s) * (info->maximum - info->minimum));
        }
        cw_view_prepare(view);
        cw_draw(cr, view, 1.0, CW_DIRTY_ALL);
        cw_view_close(view);
    }
    cairo_destroy(cr);
    cairo_surface_destroy(surface);
    free(view);
    s->windows++;
}

/* Everything back as it began: the same sound as the first time, bit for bit. */
static void check_drift(struct session *s, double hours)
{
    host_free(s->host);
    s->in_use = in_use();
    s->host = host_new(RATE[s->rate]);
    memset(s->in, 0, sizeof s->in);
    for (int i = 0; i < CHECK; i += 512) {
        s->in[i] = 0.5f;
    }
    host_run(s->host, s->in, s->out, CHECK, 64);
    if (s->known[s->rate] && memcmp(s->first[s->rate], s->out, sizeof s->first[0]) != 0) {
        fault(s, hours, "another sound than at first", 0.0);
    }
    memcpy(s->first[s->rate], s->out, sizeof s->first[0]);
    s->known[s->rate] = true;
}

/* The least time of some runs, which other work on the machine does not shorten. */
static double least_time(struct session *s, double level)
{
    double least = HUGE_VAL;
    for (int round = 0; round < 5; round++) {
        for (size_t i = 0; i < SLICE_MOST; i++) {
            s->in[i] = (float)(level * (2.0 * draw(s) - 1.0));
        }
        double start = now();
        host_run(s->host, s->in, s->out, SLICE_MOST, 64);
        double took = now() - start;
        least = took < least ? took : least;
    }
    return least;
}

static double check_denormals(struct session *s, double hours)
{
    double playing = least_time(s, 0.5), most = 0.0;
    static const double faint[] = {0.0, 1e-30, 1e-39, 1e-44};
    for (size_t i = 0; i < sizeof faint / sizeof faint[0]; i++) {
        double slower = least_time(s, faint[i]) / playing;
        most = slower > most ? slower : most;
    }
    if (most > SLOWER_MOST) {
        fault(s, hours, "faint input takes longer than playing, times", most);
    }
    return most;
}

/* A tenth of a second; some things happen now and then. */
static double slice(struct session *s, double hours)
{
    unsigned chance = host_random(&s->random) % 3000;
    size_t n = (size_t)(0.1 * RATE[s->rate]);
    for (unsigned i = host_random(&s->random) % 4; i > 0; i--) {
        move_one(s);
    }
    if (chance < 15) {
        load_one(s);
    } else if (chance < 18) {
        host_restart(s->host);
    } else if (chance == 18) {
        change_rate(s);
        n = (size_t)(0.1 * RATE[s->rate]);
    } else if (chance < 21) {
        window(s);
    }
    play(s, n, chance % 3 == 0);
    run(s, n, hours);
    return 0.1 / 3600.0;
}

/* The values of each preset, read once: the host's library keeps a trace of every one that it loads. And what cairo
 * keeps for good the first time that a window is drawn. \return false where there is no preset */
static bool warm_up(struct session *s)
{
    glob_t found;
    if (glob("presets/*.ttl", 0, NULL, &found) != 0 || host_ports(s->host) > PORTS_MOST) {
        return false;
    }
    for (size_t i = 0; i < found.gl_pathc && s->presets < PRESETS_MOST; i++) {
        host_defaults(s->host);
        if (!host_load_preset(s->host, found.gl_pathv[i])) {
            fault(s, 0.0, found.gl_pathv[i], 0.0);
            continue;
        }
        for (size_t k = 0; k < host_ports(s->host); k++) {
            s->preset[s->presets][k] =
                host_is_control_input(s->host, k) ? host_get(s->host, host_symbol(s->host, k)) : 0.0f;
        }
        s->presets++;
    }
    globfree(&found);
    window(s);
    return s->presets > 0;
}

static int tell(struct session *s, double hours, double growth, double slower)
{
    printf("%.2f h simulated: %ld controls moved, %ld presets, %ld changes of rate, %ld windows; memory %+.0f bytes, "
           "faint input %.2f times the time of playing; %d faults\n",
           hours, s->moves, s->presets_loaded, s->rate_changes, s->windows, growth, slower, s->bad);
    return s->bad ? 1 : 0;
}

int main(int argc, char **argv)
{
    static struct session s;
    double total = argc > 1 ? atof(argv[1]) : 0.1, piece = total / 24.0, hours = 0.0, at = NAN, slower = 0.0;
    double growth = 0.0;
    s.random = argc > 2 && atoi(argv[2]) != 0 ? (uint32_t)atoi(argv[2]) : 1u;
    s.host = host_new(RATE[0]);
    if (!s.host || !warm_up(&s)) {
        puts("no plugin or no presets here");
        return 2;
    }
    for (int part = 0; part < 24 && s.bad < 10; part++) {
        while (hours < (part + 1) * piece && s.bad < 10) {
            hours += slice(&s, hours);
        }
        check_drift(&s, hours);
        double now_slower = check_denormals(&s, hours);
        slower = now_slower > slower ? now_slower : slower;
        at = part == WARM ? s.in_use : at;
        growth = part > WARM ? s.in_use - at : 0.0;
        if (growth > GROWTH_MOST) {
            fault(&s, hours, "memory has grown, bytes", growth);
        }
    }
    host_free(s.host);
    return tell(&s, hours, growth, slower);
}
