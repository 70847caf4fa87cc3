/* SPDX-License-Identifier: ISC */
#include "live_takes.h"

#include <errno.h>
#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "measure.h"
#include "message.h"
#include "output.h"
#include "recorded.h"
#include "sweep.h"

/* A take goes on for this long after the sweep's file, for the latency of the way. */
static const double AFTER = 1.0;
static const double LOWEST_HZ = 44100.0, HIGHEST_HZ = 192000.0, CLIPPED = 0.9999;
/* A server that stands still for this long does not run, seconds. */
static const double PATIENCE = 5.0;

/* A session. */
struct session {
    const struct cw_live_request *request;
    struct cw_duplex *duplex;
    struct cw_sweep sweep;
    size_t frames;
    float *play, *record[2];
    bool terminal; /* standard error is one */
};

/* ---- meters -------------------------------------------------------------------------------------- */

static void print_meter(int channel, double peak)
{
    enum { CELLS = 20 };
    const double lowest = -60.0;
    double db = peak > 0.0 ? 20.0 * log10(peak) : -HUGE_VAL;
    int lit = (int)fmin(fmax(ceil(CELLS * (db - lowest) / -lowest), 0.0), CELLS);
    char bar[CELLS + 1];
    memset(bar, '.', CELLS);
    memset(bar, '#', (size_t)lit);
    bar[CELLS] = '\0';
    fprintf(stderr, " %d [%s] %6.1f dB%s", channel + 1, bar, fmax(db, -99.9), peak >= CLIPPED ? "!" : " ");
}

static void show_meters(const struct session *s, const char *before)
{
    if (s->terminal) {
        fprintf(stderr, "\r\033[K%s", before);
        print_meter(0, cw_duplex_peak(s->duplex, 0));
        print_meter(1, cw_duplex_peak(s->duplex, 1));
        fflush(stderr);
    }
}

static void wipe(const struct session *s)
{
    if (s->terminal) {
        fputs("\r\033[K", stderr);
    }
}

/* ---- answers ------------------------------------------------------------------------------------- */

enum answer { ANSWER_GO, ANSWER_STOP, ANSWER_END };

/* A line of standard input, read byte by byte: what follows it is for the next question. */
static enum answer read_answer(void)
{
    char first = '\0', c;
    ssize_t got;
    while ((got = read(STDIN_FILENO, &c, 1)) == 1 && c != '\n') {
        first = first || c == ' ' ? first : c;
    }
    return got != 1 ? ANSWER_END : first == 'q' || first == 'Q' ? ANSWER_STOP : ANSWER_GO;
}

/* Shows the meters until a line comes. */
static enum answer wait_for_answer(const struct session *s)
{
    struct pollfd input = {STDIN_FILENO, POLLIN, 0};
    enum { BLINK_MS = 150 };
    int came = 0;
    while (came == 0 || (came < 0 && errno == EINTR)) {
        if (!cw_duplex_alive(s->duplex)) {
            return ANSWER_END;
        }
        show_meters(s, "");
        came = poll(&input, 1, BLINK_MS);
    }
    wipe(s);
    return came < 0 ? ANSWER_END : read_answer();
}

/* ---- one take ------------------------------------------------------------------------------------ */

static void pause_ms(long ms)
{
    struct timespec time = {0, ms * 1000000L};
    nanosleep(&time, NULL);
}

/* Returns false where the server went or stood still. */
static bool run_take(const struct session *s, bool silent)
{
    enum { STEP_MS = 50 };
    size_t before = 0, done;
    double still = 0.0;
    cw_duplex_start(s->duplex, silent ? NULL : s->play, s->record, s->frames);
    while ((done = cw_duplex_done(s->duplex)) < s->frames && cw_duplex_alive(s->duplex) && still < PATIENCE) {
        char text[40];
        snprintf(text, sizeof text, "%3.0f %%", 100.0 * (double)done / (double)s->frames);
        show_meters(s, text);
        still = done > before ? 0.0 : still + 1e-3 * STEP_MS;
        before = done;
        pause_ms(STEP_MS);
    }
    wipe(s);
    if (done < s->frames) {
        cw_error("the JACK server %s while a take was made", cw_duplex_alive(s->duplex) ? "stood still" : "went away");
    }
    return done == s->frames;
}

static double highest(const float *samples, size_t n)
{
    double most = 0.0;
    for (size_t i = 0; i < n; i++) {
        most = fmax(most, fabs((double)samples[i]));
    }
    return most;
}

/* Whether the take can be used; says why not. */
static bool is_good(const struct session *s, const struct cw_live_step *step)
{
    static struct cw_ratio ratio;
    const struct cw_recorded_take take = {s->record[0], s->record[1], s->frames, cw_duplex_rate(s->duplex)};
    unsigned lost = cw_duplex_lost(s->duplex);
    if (lost > 0) {
        cw_error_at(step->path, 0,
                    "JACK lost samples (%u time%s): close other programs, or give the server a larger period", lost,
                    lost > 1 ? "s" : "");
        return false;
    }
    enum cw_take_fault fault = CW_TAKE_GOOD;
    if (!step->silent) {
        fault = cw_ratio_of(&s->sweep, &take, NULL, &ratio);
    } else if (fmax(highest(take.one, take.frames), highest(take.two, take.frames)) >= CLIPPED) {
        fault = CW_TAKE_CLIPPED;
    }
    if (fault != CW_TAKE_GOOD) {
        cw_error_at(step->path, 0, "%s", cw_take_fault_words(fault));
    }
    return fault == CW_TAKE_GOOD;
}

static double decibels(double peak) { return peak > 0.0 ? fmax(20.0 * log10(peak), -200.0) : -200.0; }

/* Until the take is good, the person ends it, or nothing works. */
static bool make_take(const struct session *s, const struct cw_live_step *step, size_t number, size_t count)
{
    for (;;) {
        fprintf(stderr, "Take %zu of %zu: %s.\n  Enter %s; q ends.\n", number, count, step->words,
                step->silent ? "records, nothing is played" : "plays the sweep");
        enum answer answer = wait_for_answer(s);
        if (answer != ANSWER_GO) {
            cw_error_at(step->path, 0, "%s before this take was made; takes before it are kept",
                        !cw_duplex_alive(s->duplex) ? "the JACK server went away"
                        : answer == ANSWER_STOP     ? "ended"
                                                    : "the input ended");
            return false;
        }
        if (!run_take(s, step->silent)) {
            return false;
        }
        fprintf(stderr, "  highest: channel 1 %.1f dBFS, channel 2 %.1f dBFS\n",
                decibels(highest(s->record[0], s->frames)), decibels(highest(s->record[1], s->frames)));
        if (is_good(s, step)) {
            const struct cw_recorded made = {{s->record[0], s->record[1]}, s->frames, cw_duplex_rate(s->duplex)};
            return cw_recorded_write(step->path, &made, s->request->force);
        }
        fputs("  Once more:\n", stderr);
    }
}

/* ---- all of them --------------------------------------------------------------------------------- */

/* Found out before anybody plugs anything. */
static bool room_for_files(const struct cw_live_request *request, const struct cw_live_step *step, size_t count)
{
    struct stat there;
    for (size_t i = 0; i < count && !request->force; i++) {
        if (lstat(step[i].path, &there) == 0) {
            cw_error_at(step[i].path, 0, "is there already (--force replaces it)");
            return false;
        }
    }
    return true;
}

static bool prepare(struct session *s)
{
    double rate = cw_duplex_rate(s->duplex), gain = pow(10.0, s->request->level / 20.0);
    if (!(rate >= LOWEST_HZ && rate <= HIGHEST_HZ)) {
        cw_error("expected a JACK server of %.0f to %.0f Hz, found %.0f Hz", LOWEST_HZ, HIGHEST_HZ, rate);
        return false;
    }
    s->frames = (size_t)((cw_sweep_take_seconds(&s->sweep) + AFTER) * rate);
    s->play = malloc(s->frames * sizeof *s->play);
    s->record[0] = calloc(s->frames, sizeof *s->record[0]);
    s->record[1] = calloc(s->frames, sizeof *s->record[1]);
    if (!s->play || !s->record[0] || !s->record[1]) {
        cw_error_memory();
        return false;
    }
    for (size_t i = 0; i < s->frames; i++) {
        s->play[i] = (float)(gain * cw_sweep_take_at(&s->sweep, (double)i / rate));
    }
    return true;
}

bool cw_live_takes(const struct cw_live_request *request, const struct cw_live_step *step, size_t count)
{
    struct session s = {.request = request, .terminal = isatty(STDERR_FILENO)};
    cw_sweep_init(&s.sweep);
    s.sweep.seconds = request->seconds;
    if (!room_for_files(request, step, count)) {
        return false;
    }
    s.duplex = cw_duplex_open(&request->ports);
    bool good = s.duplex && prepare(&s) && cw_output_directory(request->folder);
    if (good) {
        fprintf(stderr, "Sweep of %g s at %.0f Hz, peak %g dBFS. It is loud: loudspeakers and headphones off.\n",
                request->seconds, cw_duplex_rate(s.duplex), request->level);
    }
    for (size_t i = 0; i < count && good; i++) {
        good = make_take(&s, &step[i], i + 1, count);
    }
    cw_duplex_close(s.duplex);
    free(s.play);
    free(s.record[0]);
    free(s.record[1]);
    return good;
}
