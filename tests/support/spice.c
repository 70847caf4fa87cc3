/* SPDX-License-Identifier: ISC */
#include "spice.h"

#include "coil.h"
#include "setups.h"
#include "split_kind.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A coil in SI units: where it is plain, from the rules of the model and not from dsp/coil. */
struct part {
    double emf, ohm, henry, farad, loss;
    double core_henry[2], core_ohm[2]; /* the core: an inductance with a resistance across it, twice */
    double drop;                       /* EMF for each henry that the core takes away */
    double tail;                       /* henry second, of the core */
};

struct parts {
    int coils; /* 1 or 2 */
    struct part coil[2];
    double mutual;
};

static double get(const struct cw_setup *setup, enum cw_param_id id) { return setup->value[id]; }

/* EMF goes as the turns, inductance as their square. */
static double emf_of(double henry) { return sqrt(henry / setups_reference_henry()); }

static double all_henry(const struct part *coil) { return coil->henry + coil->core_henry[0] + coil->core_henry[1]; }

static struct part scaled(struct part coil, double t)
{
    coil.emf *= t;
    coil.ohm *= t;
    coil.henry *= t * t;
    coil.loss *= t * t;
    coil.tail *= t * t;
    for (int i = 0; i < 2; i++) {
        coil.core_henry[i] *= t * t;
        coil.core_ohm[i] *= t * t;
    }
    return coil;
}

/* A core or metal around it is worked out elsewhere; here its parts are what they are. */
static bool has_core(const struct cw_setup *setup)
{
    return get(setup, CW_P_COIL_FROM) == CW_FROM_WINDING || get(setup, CW_P_CORE_SHARE) > 0 ||
           get(setup, CW_P_COVER) != CW_COVER_NONE;
}

static struct parts parts_as_solved(const struct cw_setup *setup)
{
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    struct parts p = {.coils = pickup.coils == CW_COILS_ONE ? 1 : 2, .mutual = pickup.mutual};
    for (int i = 0; i < p.coils; i++) {
        const struct cw_coil *c = &pickup.coil[i];
        p.coil[i] = (struct part){.emf = c->emf,
                                  .ohm = c->resistance,
                                  .henry = c->inductance,
                                  .farad = c->capacitance,
                                  .loss = c->loss,
                                  .tail = c->tail};
        for (int k = 0; k < 2; k++) {
            p.coil[i].core_henry[k] = c->branch[k].inductance;
            p.coil[i].core_ohm[k] = c->branch[k].resistance;
        }
    }
    return p;
}

static struct parts parts_of(const struct cw_setup *setup)
{
    if (has_core(setup)) {
        return parts_as_solved(setup);
    }
    struct parts p = {0};
    double gain = pow(10.0, get(setup, CW_P_SENSITIVITY) / 20.0);
    struct part leads = {.emf = gain * emf_of(get(setup, CW_P_INDUCTANCE)),
                         .ohm = get(setup, CW_P_RESISTANCE) * 1e3,
                         .henry = get(setup, CW_P_INDUCTANCE),
                         .farad = get(setup, CW_P_CAPACITANCE) * 1e-12,
                         .loss = get(setup, CW_P_LOSS) * 1e3};
    if (get(setup, CW_P_COILS) == CW_COILS_ONE) {
        p.coils = 1;
        p.coil[0] = leads;
        return p;
    }
    double k = get(setup, CW_P_COUPLING), t = get(setup, CW_P_SECOND_TURNS) / 100.0;
    double henry = leads.henry / (2 * (1 + k));
    p.coils = 2;
    p.coil[0] = (struct part){.emf = gain * emf_of(henry),
                              .ohm = leads.ohm / 2,
                              .henry = henry,
                              .farad = leads.farad * 2,
                              .loss = leads.loss / 2};
    p.coil[1] = scaled(p.coil[0], t);
    p.mutual = k * henry * t;
    return p;
}

/* What EMF each henry stands for: L(0)^-1 e, of the whole pickup. */
static void set_drops(struct parts *p, double drive_one, double drive_two)
{
    double e1 = drive_one * p->coil[0].emf, e2 = drive_two * p->coil[1].emf, m = p->mutual;
    double l1 = all_henry(&p->coil[0]), l2 = all_henry(&p->coil[1]);
    p->coil[0].drop = p->coils == 1 ? e1 / l1 : (l2 * e1 - m * e2) / (l1 * l2 - m * m);
    p->coil[1].drop = p->coils == 1 ? 0 : (l1 * e2 - m * e1) / (l1 * l2 - m * m);
}

/* A part of the core from a node to the next; and, in a circuit of its own, the EMF that goes with the inductance:
 * of `drop` times henry what a high-pass of the same corner lets through is taken off, inside the loss. */
static void write_core(FILE *deck, const char *name, const char *from, const char *to, double henry, double ohm,
                       double drop)
{
    if (henry <= 0) {
        fprintf(deck, "Vs%s %s %s dc 0\n", name, from, to);
        return;
    }
    fprintf(deck, "Lc%s x%s %s %.17g\nRc%s x%s %s %.17g\n", name, name, to, henry, name, name, to, ohm);
    fprintf(deck, "Vd%s d%s 0 dc 0 ac %.17g\nRd%s d%s h%s %.17g\nLd%s h%s 0 %.17g\n", name, name, drop * henry, name,
            name, name, ohm, name, name, henry);
    fprintf(deck, "E%s %s x%s h%s 0 -1\n", name, from, name, name);
}

/* A coil: EMF, resistance and inductor in series, loss across the inductor, capacitance across all. The
 * inductor: what the core leaves alone, and two parts that it takes. The elements carry the tag of the network and
 * the number of the coil. */
static void write_coil(FILE *deck, const char *tag, int n, const char *top, const char *bottom, const struct part *coil,
                       double drive)
{
    fprintf(deck, "V%s%d %s e%s%d dc 0 ac %.17g\n", tag, n, top, tag, n, drive * coil->emf);
    fprintf(deck, "Rdc%s%d e%s%d i%s%d %.17g\n", tag, n, tag, n, tag, n, coil->ohm);
    fprintf(deck, "Rloss%s%d i%s%d %s %.17g\n", tag, n, tag, n, bottom, coil->loss);
    fprintf(deck, "C%s%d %s %s %.17g\n", tag, n, top, bottom, coil->farad);
    if (coil->core_henry[0] <= 0 && coil->core_henry[1] <= 0) {
        fprintf(deck, "L%s%d i%s%d %s %.17g\n", tag, n, tag, n, bottom, coil->henry);
        return;
    }
    fprintf(deck, "L%s%d i%s%d j%s%d %.17g\n", tag, n, tag, n, tag, n, coil->henry);
    char name[2][32], from[32], between[32];
    snprintf(name[0], sizeof name[0], "%s%da", tag, n);
    snprintf(name[1], sizeof name[1], "%s%db", tag, n);
    snprintf(from, sizeof from, "j%s%d", tag, n);
    snprintf(between, sizeof between, "k%s%d", tag, n);
    write_core(deck, name[0], from, between, coil->core_henry[0], coil->core_ohm[0], coil->drop);
    write_core(deck, name[1], between, bottom, coil->core_henry[1], coil->core_ohm[1], coil->drop);
}

/* The core's tail across a coil alone. */
static void write_tail(FILE *deck, const char *tag, const char *bottom, const struct part *coil)
{
    if (coil->tail > 0) {
        fprintf(deck, "Rt%s i%s1 %s %.17g\n", tag, tag, bottom, coil->henry * coil->henry / coil->tail);
    }
}

/* The tails of two coils, as currents driven by the voltages of both: inductances without loss inverted, tails, and
 * the inverse again. */
static void write_tails(FILE *deck, const char *tag, const struct part coil[2], double mutual, const char *bottom[2])
{
    double det = coil[0].henry * coil[1].henry - mutual * mutual;
    const double inverse[2][2] = {{coil[1].henry / det, -mutual / det}, {-mutual / det, coil[0].henry / det}};
    for (int n = 0; n < 4 && coil[0].tail + coil[1].tail > 0; n++) {
        int to = n / 2, of = n % 2;
        double siemens =
            inverse[to][0] * coil[0].tail * inverse[0][of] + inverse[to][1] * coil[1].tail * inverse[1][of];
        fprintf(deck, "Gt%s%d i%s%d %s i%s%d %s %.17g\n", tag, n, tag, to + 1, bottom[to], tag, of + 1, bottom[of],
                siemens);
    }
}

/* The split's parts between two nodes. */
static void write_split_parts(FILE *deck, const struct cw_setup *setup, const char *tag, const char *top,
                              const char *bottom)
{
    double ohm = get(setup, CW_P_SPLIT_RESISTOR) * 1e3;
    double farad = get(setup, CW_P_SPLIT_CAPACITOR) * 1e-9;
    switch ((enum cw_split_by)(int)get(setup, CW_P_SPLIT_BY)) { /* no default: the compiler names a new kind */
    case CW_SPLIT_TAPPED: break;
    case CW_SPLIT_R:
    case CW_SPLIT_TAPPED_R: fprintf(deck, "Rsp%s %s %s %.17g\n", tag, top, bottom, ohm); break;
    case CW_SPLIT_C: fprintf(deck, "Csp%s %s %s %.17g\n", tag, top, bottom, farad); break;
    case CW_SPLIT_RC_SERIES:
        fprintf(deck, "Rsp%s %s rc%s %.17g\nCsp%s rc%s %s %.17g\n", tag, top, tag, ohm, tag, tag, bottom, farad);
        break;
    case CW_SPLIT_RC_PARALLEL:
        fprintf(deck, "Rsp%s %s %s %.17g\nCsp%s %s %s %.17g\n", tag, top, bottom, ohm, tag, top, bottom, farad);
        break;
    }
}

enum wiring { AS_SET, SPLIT_OFF, ONE_COIL_ONLY };

static struct part keep_share(struct part coil, double kept)
{
    coil = scaled(coil, kept);
    coil.farad /= kept * kept;
    coil.drop /= kept; /* for each henry, which go as the square */
    return coil;
}

/* The pickup between node hot<tag> and earth. The coil that a split reduces (coil two, unless coil
 * one is set) is driven by `drive_reduced`, the other by `drive_whole`. Coil one stays on the hot
 * side, with the split's parts across whichever coil they reduce. */
static void write_pickup(FILE *deck, const struct cw_setup *setup, const char *tag, enum wiring wiring,
                         double drive_whole, double drive_reduced)
{
    struct parts p = parts_of(setup);
    bool series = get(setup, CW_P_COILS) == CW_COILS_SERIES;
    bool split = series && get(setup, CW_P_SPLIT) > 0;
    int reduced = split && get(setup, CW_P_SPLIT_COIL) == CW_SPLIT_COIL_ONE ? 0 : 1;
    int by = (int)get(setup, CW_P_SPLIT_BY);
    bool tapped = split && wiring == AS_SET && (by == CW_SPLIT_TAPPED || by == CW_SPLIT_TAPPED_R);
    double kept = tapped ? get(setup, CW_P_SPLIT_KEEP) / 100.0 : 1.0;
    char hot[32], middle[32];
    snprintf(hot, sizeof hot, "hot%s", tag);
    snprintf(middle, sizeof middle, "mid%s", tag);
    double both = wiring == ONE_COIL_ONLY ? drive_whole : drive_reduced; /* the string moves in front of both */
    set_drops(&p, reduced == 0 ? both : drive_whole, reduced == 0 ? drive_whole : both);
    if (p.coils == 1) {
        write_coil(deck, tag, 1, hot, "0", &p.coil[0], drive_whole);
        write_tail(deck, tag, "0", &p.coil[0]);
        return;
    }
    if (wiring == ONE_COIL_ONLY || kept <= 0) {
        write_coil(deck, tag, 1, hot, "0", &p.coil[1 - reduced], drive_whole);
        write_tail(deck, tag, "0", &p.coil[1 - reduced]);
        return;
    }
    p.coil[reduced] = keep_share(p.coil[reduced], kept);
    double drive[2] = {drive_whole, drive_whole};
    drive[reduced] = drive_reduced;
    write_coil(deck, tag, 1, hot, series ? middle : "0", &p.coil[0], drive[0]);
    write_coil(deck, tag, 2, series ? middle : hot, "0", &p.coil[1], drive[1]);
    write_tails(deck, tag, p.coil, p.mutual * kept, (const char *[2]){series ? middle : "0", "0"});
    if (p.mutual > 0) {
        double k = p.mutual * kept / sqrt(p.coil[0].henry * p.coil[1].henry);
        fprintf(deck, "K%s L%s1 L%s2 %.17g\n", tag, tag, tag, k);
    }
    if (split && wiring == AS_SET) {
        write_split_parts(deck, setup, tag, reduced ? middle : hot, reduced ? "0" : middle);
    }
}

static double track(const struct cw_setup *setup, enum cw_param_id id)
{
    double x = get(setup, id) / 10.0, half = get(setup, CW_P_TAPER) / 100.0, b = (1 / half - 1) * (1 / half - 1);
    if (get(setup, CW_P_TRACK) == CW_TRACK_TWO_PIECES) {
        return x < 0.5 ? x / 0.5 * half : half + (x - 0.5) / 0.5 * (1 - half);
    }
    return fabs(b - 1) < 1e-9 ? x : (pow(b, x) - 1) / (b - 1);
}

/* Controls, cable and input from node hot<tag>.
 * \param out the name of the node that is heard, "0" where the volume is closed */
static void write_load(FILE *deck, const struct cw_setup *setup, const char *tag, char out[32])
{
    double volume = track(setup, CW_P_VOLUME), tone = track(setup, CW_P_TONE) * get(setup, CW_P_TONE_POT) * 1e3;
    double track = get(setup, CW_P_VOLUME_POT) * 1e3;
    snprintf(out, 32, "%s%s", get(setup, CW_P_VOLUME) < 10 ? "wiper" : "hot", tag);
    if (volume <= 0) {
        snprintf(out, 32, "0");
    }
    if (volume < 1) {
        fprintf(deck, "Rtop%s hot%s %s %.17g\n", tag, tag, out, (1 - volume) * track);
        if (get(setup, CW_P_BLEED_CAP) > 0 && get(setup, CW_P_BLEED_RESISTOR) > 0) {
            fprintf(deck, "Cbl%s hot%s bl%s %.17g\n", tag, tag, tag, get(setup, CW_P_BLEED_CAP) * 1e-12);
            fprintf(deck, "Rbl%s bl%s %s %.17g\n", tag, tag, out, get(setup, CW_P_BLEED_RESISTOR) * 1e3);
        } else if (get(setup, CW_P_BLEED_CAP) > 0) {
            fprintf(deck, "Cbl%s hot%s %s %.17g\n", tag, tag, out, get(setup, CW_P_BLEED_CAP) * 1e-12);
        }
    }
    const char *tone_node = get(setup, CW_P_TONE_AFTER_VOLUME) > 0 ? "wiper" : "hot";
    char tone_name[32];
    snprintf(tone_name, sizeof tone_name, "%s%s", tone_node, tag);
    if (strcmp(tone_node, "wiper") == 0) {
        snprintf(tone_name, sizeof tone_name, "%s", out);
    }
    if (strcmp(tone_name, "0") != 0) {
        if (tone > 0) {
            fprintf(deck, "Rtn%s %s tn%s %.17g\nCtn%s tn%s 0 %.17g\n", tag, tone_name, tag, tone, tag, tag,
                    get(setup, CW_P_TONE_CAP) * 1e-9);
        } else {
            fprintf(deck, "Ctn%s %s 0 %.17g\n", tag, tone_name, get(setup, CW_P_TONE_CAP) * 1e-9);
        }
    }
    if (volume <= 0) {
        return;
    }
    double cable =
        get(setup, CW_P_CABLE_LENGTH) * get(setup, CW_P_CABLE_CAPACITANCE) + get(setup, CW_P_INPUT_CAPACITANCE);
    fprintf(deck, "Rlow%s %s 0 %.17g\n", tag, out, volume * track);
    fprintf(deck, "Rin%s %s 0 %.17g\n", tag, out, get(setup, CW_P_INPUT_RESISTANCE) * 1e6);
    if (cable > 0) {
        fprintf(deck, "Cin%s %s 0 %.17g\n", tag, out, cable * 1e-12);
    }
}

static void write_network(FILE *deck, const struct cw_setup *setup, const char *tag, enum wiring wiring,
                          double drive_less, char out[32])
{
    write_pickup(deck, setup, tag, wiring, 1.0, drive_less);
    write_load(deck, setup, tag, out);
}

static void write_deck(FILE *deck, const struct cw_setup *setup, const char *result)
{
    char out[4][32];
    fprintf(deck, "* pickup, controls, cable and input\n");
    write_network(deck, setup, "s", AS_SET, 1, out[0]);
    write_network(deck, setup, "h", AS_SET, -1, out[1]);
    write_network(deck, setup, "o", ONE_COIL_ONLY, 0, out[2]);
    write_network(deck, setup, "u", SPLIT_OFF, 1, out[3]);
    write_pickup(deck, setup, "z", AS_SET, 0, 0);
    fprintf(deck, "Iz 0 hotz dc 0 ac 1\n"); /* one ampere: the voltage is the impedance */
    fprintf(deck, ".control\nset wr_singlescale\nset wr_vecnames\noption numdgt=15\nac dec 40 20 20k\n");
    fprintf(deck, "wrdata %s", result);
    for (int i = 0; i < 4; i++) {
        fprintf(deck, " v(%s)", out[i]);
    }
    fprintf(deck, " v(hotz)\nquit\n.endc\n.end\n");
}

static int read_points(const char *path, struct spice_point *points)
{
    FILE *file = fopen(path, "r");
    if (!file) {
        return 0;
    }
    char line[1024];
    int n = 0;
    if (fgets(line, sizeof line, file)) { /* names of the columns */
        while (n < SPICE_POINTS_MAX && fgets(line, sizeof line, file)) {
            struct spice_point *p = &points[n];
            if (sscanf(line, "%lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf", &p->hz, &p->string[0], &p->string[1],
                       &p->hum[0], &p->hum[1], &p->one_coil[0], &p->one_coil[1], &p->unsplit[0], &p->unsplit[1],
                       &p->ohm[0], &p->ohm[1]) == 11) {
                n++;
            }
        }
    }
    fclose(file);
    return n;
}

bool spice_available(void) { return system("ngspice --version >/dev/null 2>&1") == 0; }

/* The deck of one analysis: written, run; its log is in the directory. \return false on failure */
static bool run(const struct cw_setup *setup, const char *directory, const char *result,
                void (*write)(FILE *, const struct cw_setup *, const char *))
{
    char deck_path[128], command[400];
    snprintf(deck_path, sizeof deck_path, "%s/deck.cir", directory);
    snprintf(command, sizeof command, "ngspice -b %s >%s/log 2>&1 || { cat %s/log >&2; false; }", deck_path, directory,
             directory);
    FILE *deck = fopen(deck_path, "w");
    if (!deck) {
        perror(deck_path);
        return false;
    }
    write(deck, setup, result);
    return fclose(deck) == 0 && system(command) == 0;
}

static void remove_all(const char *directory)
{
    static const char *const name[] = {"deck.cir", "result.txt", "log"};
    char path[128];
    for (size_t i = 0; i < sizeof name / sizeof name[0]; i++) {
        snprintf(path, sizeof path, "%s/%s", directory, name[i]);
        unlink(path);
    }
    rmdir(directory);
}

int spice_analyse(const struct cw_setup *setup, struct spice_point *points)
{
    char directory[] = "/tmp/coilwright-spice-XXXXXX", result[128];
    if (!mkdtemp(directory)) {
        perror(directory);
        return 0;
    }
    snprintf(result, sizeof result, "%s/result.txt", directory);
    int n = run(setup, directory, result, write_deck) ? read_points(result, points) : 0;
    remove_all(directory);
    return n;
}

/* The network of one coil without its EMF (a source of voltage would be taken out as an open circuit),
 * and a current into hot as what rings it. */
static void write_pole_deck(FILE *deck, const struct cw_setup *setup, const char *result)
{
    char out[32];
    (void)result;
    fprintf(deck, "* natural frequencies\n");
    struct part coil = parts_of(setup).coil[0];
    fprintf(deck, "Rdc hots i %.17g\nRloss i 0 %.17g\nC hots 0 %.17g\n", coil.ohm, coil.loss, coil.farad);
    if (coil.tail > 0) {
        fprintf(deck, "Rt i 0 %.17g\n", coil.henry * coil.henry / coil.tail);
    }
    const double henry[3] = {coil.core_henry[0], coil.core_henry[1], coil.henry};
    char from[8] = "i", to[8];
    for (int k = 0; k < 3; k++) { /* the core's parts, where there are any, and what it leaves alone */
        if (henry[k] > 0) {
            snprintf(to, sizeof to, k < 2 ? "c%d" : "0", k);
            fprintf(deck, "L%d %s %s %.17g\n", k, from, to, henry[k]);
            if (k < 2) {
                fprintf(deck, "Rc%d %s %s %.17g\n", k, from, to, coil.core_ohm[k]);
            }
            memcpy(from, to, sizeof from);
        }
    }
    write_load(deck, setup, "s", out);
    fprintf(deck, ".control\noption numdgt=12\npz hots 0 %s 0 cur pol\nprint all\nquit\n.endc\n.end\n", out);
}

static int read_poles(const char *path, double pole[SPICE_POLES_MAX][2])
{
    FILE *file = fopen(path, "r");
    char line[1024];
    int n = 0;
    bool gave_up = false;
    while (file && n < SPICE_POLES_MAX && fgets(line, sizeof line, file)) {
        gave_up = gave_up || strstr(line, "iteration limit");
        n += sscanf(line, "pole(%*d) = %lf,%lf", &pole[n][0], &pole[n][1]) == 2;
    }
    if (file) {
        fclose(file);
    }
    return gave_up ? 0 : n; /* some of the poles are no answer */
}

int spice_poles(const struct cw_setup *setup, double pole[SPICE_POLES_MAX][2])
{
    char directory[] = "/tmp/coilwright-spice-XXXXXX", log[128];
    if (!mkdtemp(directory)) {
        perror(directory);
        return 0;
    }
    snprintf(log, sizeof log, "%s/log", directory);
    int n = run(setup, directory, "", write_pole_deck) ? read_poles(log, pole) : 0;
    remove_all(directory);
    return n;
}
