/* SPDX-License-Identifier: ISC */
/* A measuring jig that stands in a JACK server: ports in (the interface's output), one and two (its inputs),
 * and none, where nothing is heard.
 *
 *     jack_jig PLUG      PLUG: a file of one word: open, known, check, silent or take: what is at the plug
 *
 * Channel two is the node of 100 kohm against 1 Mohm, 350 pF and what is at the plug: 99.8 kohm, 22.1 kohm or an
 * instrument (8 kohm and 4.5 H in series, 120 pF and 400 kohm across them), as a digital filter by the bilinear
 * transform: a judge finds exactly this network at the frequency (2/T) tan(w T/2). "freewheel" as a second argument
 * lets the server run as fast as it can.
 * It shares no code with the program. */
#include <jack/jack.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

static const double R_SERIES = 100e3, R_INPUT = 1e6, C_CABLE = 350e-12, GAIN = 1.03;

static jack_client_t *client;
static jack_port_t *in, *one, *two, *none;
static atomic_int plug = 'o';
static volatile sig_atomic_t ended;
static double state[4]; /* x1 x2 y1 y2 */

/* H(s) = GAIN (R + sL) / ((R + sL)(1 + Rs (1/Ri + 1/Rp) + s Rs C) + Rs y), y 1 where a coil is at the plug. */
static void coefficients(double rate, double b[3], double a[3])
{
    int at = atomic_load(&plug);
    double resistor = at == 'k' ? 99800.0 : at == 'c' ? 22100.0 : at == 't' ? 400e3 : 1e18;
    double coil = at == 't', r = 8000.0, l = 4.5, c = C_CABLE + coil * 120e-12;
    double flat = 1.0 + R_SERIES * (1.0 / R_INPUT + 1.0 / resistor), slope = R_SERIES * c, k = 2.0 * rate;
    double top[3] = {GAIN * r, GAIN * l, 0.0}; /* of s^0, s^1, s^2 */
    double below[3] = {r * flat + coil * R_SERIES, l * flat + r * slope, l * slope};
    double *from[2] = {top, below}, *to[2] = {b, a};
    for (int i = 0; i < 2; i++) {
        double p0 = from[i][0], p1 = from[i][1] * k, p2 = from[i][2] * k * k;
        to[i][0] = p0 + p1 + p2;
        to[i][1] = 2.0 * (p0 - p2);
        to[i][2] = p0 - p1 + p2;
    }
}

static int process(jack_nframes_t n, void *unused)
{
    const float *x = jack_port_get_buffer(in, n);
    float *channel[2] = {jack_port_get_buffer(one, n), jack_port_get_buffer(two, n)};
    double b[3], a[3];
    (void)unused;
    memset(jack_port_get_buffer(none, n), 0, n * sizeof(float));
    coefficients((double)jack_get_sample_rate(client), b, a);
    for (jack_nframes_t i = 0; i < n; i++) {
        double now = x[i];
        double y = (b[0] * now + b[1] * state[0] + b[2] * state[1] - a[1] * state[2] - a[2] * state[3]) / a[0];
        state[1] = state[0];
        state[0] = now;
        state[3] = state[2];
        state[2] = y;
        channel[0][i] = x[i];
        channel[1][i] = (float)y;
    }
    return 0;
}

static void read_plug(const char *path)
{
    char word[16] = "";
    FILE *file = fopen(path, "r");
    if (file) {
        if (fgets(word, sizeof word, file) && word[0]) {
            atomic_store(&plug, word[0]);
        }
        fclose(file);
    }
}

static void end(int number)
{
    (void)number;
    ended = 1;
}

int main(int argc, char **argv)
{
    if (argc < 2 || !(client = jack_client_open("jig", JackNoStartServer, NULL))) {
        fputs("jack_jig: no server, or no PLUG\n", stderr);
        return 1;
    }
    in = jack_port_register(client, "in", JACK_DEFAULT_AUDIO_TYPE, JackPortIsInput, 0);
    one = jack_port_register(client, "one", JACK_DEFAULT_AUDIO_TYPE, JackPortIsOutput, 0);
    two = jack_port_register(client, "two", JACK_DEFAULT_AUDIO_TYPE, JackPortIsOutput, 0);
    none = jack_port_register(client, "none", JACK_DEFAULT_AUDIO_TYPE, JackPortIsOutput, 0);
    jack_set_process_callback(client, process, NULL);
    if (!in || !one || !two || !none || jack_activate(client)) {
        return 1;
    }
    if (argc > 2 && strcmp(argv[2], "freewheel") == 0) {
        jack_set_freewheel(client, 1);
    }
    signal(SIGTERM, end);
    while (!ended) {
        struct timespec time = {0, 10000000L};
        read_plug(argv[1]);
        nanosleep(&time, NULL);
    }
    jack_client_close(client);
    return 0;
}
