/* SPDX-License-Identifier: ISC */
#include "split_words.h"

#include <math.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "attributes.h"
#include "audible.h"
#include "numbers.h"
#include "setup.h"
#include "split_ear.h"
#include "split_kind.h"
#include "split_measure.h"

/* ---- names --------------------------------------------------------------------------------- */

const char *cw_split_coil_name(enum cw_split_coil coil) { return coil == CW_SPLIT_COIL_ONE ? "coil one" : "coil two"; }

/* What is kept of a tapped winding. */
static void print_kept(const struct cw_setup *setup, double turns_kept, double turns, char *text, size_t size)
{
    if (turns > 0.0) {
        snprintf(text, size, "%.0f of %.0f turns", turns_kept, turns);
    } else {
        snprintf(text, size, "%.3g %% of the turns", setup->value[CW_P_SPLIT_KEEP]);
    }
}

/* The parts that the kind has, joined: the turns in the words given, then resistor and capacitor. */
static const char *join_parts(const struct cw_setup *setup, const char *kept, char *text, size_t size)
{
    char ohms[32], farads[32];
    cw_print_ohms(setup->value[CW_P_SPLIT_RESISTOR], ohms, sizeof ohms);
    cw_print_farads(setup->value[CW_P_SPLIT_CAPACITOR], farads, sizeof farads);
    const struct {
        unsigned part;
        const char *text;
    } row[] = {{CW_PART_KEEP, kept}, {CW_PART_RESISTOR, ohms}, {CW_PART_CAPACITOR, farads}};
    unsigned parts = cw_split_parts_of((enum cw_split_by)(int)setup->value[CW_P_SPLIT_BY]);
    size_t used = 0;
    text[0] = '\0';
    for (size_t i = 0; i < sizeof row / sizeof row[0] && used < size; i++) {
        if (parts & row[i].part) {
            used += (size_t)snprintf(text + used, size - used, "%s%s", used ? " + " : "", row[i].text);
        }
    }
    return text;
}

const char *cw_split_parts(const struct cw_setup *setup, double turns_kept, double turns, char *text, size_t size)
{
    char kept[64];
    print_kept(setup, turns_kept, turns, kept, sizeof kept);
    return join_parts(setup, kept, text, size);
}

const char *cw_measure_name(const struct cw_measure *measure, char *text, size_t size)
{
    char low[32], high[32];
    cw_print_hz(measure->low, low, sizeof low);
    cw_print_hz(measure->high, high, sizeof high);
    switch (measure->kind) {
    case CW_MEASURE_LOUDNESS: snprintf(text, size, "weighted loudness, assumed guitar spectrum"); break;
    case CW_MEASURE_FLAT: snprintf(text, size, "mean level from %s to %s", low, high); break;
    case CW_MEASURE_AT: snprintf(text, size, "level at %s", low); break;
    case CW_MEASURE_TAKE: snprintf(text, size, "integrated loudness of the recording"); break;
    }
    return text;
}

const char *cw_split_file_name(const struct cw_split_answer *answer, int index, char *text, size_t size)
{
    const struct cw_split_solution *solution = &answer->solution[index];
    snprintf(text, size, "%02d-%s%s", index + 1, cw_split_kind[solution->by].word,
             solution->reduced == CW_SPLIT_COIL_ONE ? "-coil-one" : "");
    return text;
}

/* ---- words --------------------------------------------------------------------------------- */

/* Text that grows; what does not fit is cut. */
static void add(char text[CW_SPLIT_TEXT], const char *format, ...) CW_PRINTF(2, 3);
static void add(char text[CW_SPLIT_TEXT], const char *format, ...)
{
    size_t used = strlen(text);
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text + used, CW_SPLIT_TEXT - used, format, arguments);
    va_end(arguments);
}

static const char *brightness_words(double balance)
{
    return balance < -4.0   ? "Much darker than full"
           : balance < -1.5 ? "Darker than full"
           : balance < -0.5 ? "A little darker than full"
           : balance <= 0.5 ? "As bright as full"
           : balance <= 1.5 ? "A little brighter than full"
           : balance <= 4.0 ? "Brighter than full"
                            : "Much brighter than full";
}

static const char *against_one_coil(double difference)
{
    return difference < -0.5   ? "not as bright as one coil alone"
           : difference <= 0.5 ? "as bright as one coil alone"
                               : "brighter than one coil alone";
}

static void add_noise(char text[CW_SPLIT_TEXT], const char *what, double db)
{
    if (db < CW_CANCELS_DB) {
        add(text, "%s cancels", what);
    } else if (db < -0.5) {
        add(text, "%s %.1f dB below one coil", what, -db);
    } else if (db <= 0.5) {
        add(text, "%s as of one coil", what);
    } else {
        add(text, "%s %.1f dB above one coil", what, db);
    }
}

/* A sentence of the table of kinds with its places filled in. */
static void add_filled(char text[CW_SPLIT_TEXT], const char *sentence, const char *const (*fill)[2], size_t count)
{
    while (*sentence) {
        size_t plain = strcspn(sentence, "{");
        add(text, "%.*s", (int)plain, sentence);
        sentence += plain;
        for (size_t i = 0; i < count && *sentence; i++) {
            size_t length = strlen(fill[i][0]);
            if (strncmp(sentence, fill[i][0], length) == 0) {
                add(text, "%s", fill[i][1]);
                sentence += length;
                break;
            }
        }
    }
}

static void add_wiring(char text[CW_SPLIT_TEXT], const struct cw_split_solution *solution)
{
    const struct cw_split_kind *kind = &cw_split_kind[solution->by];
    const struct cw_setup *setup = &solution->rounded;
    const char *coil = cw_split_coil_name(solution->reduced);
    char kept[64], ohms[32], farads[32];
    if (kind->tapped && setup->value[CW_P_SPLIT_KEEP] <= 0.0) {
        add(text, "All of %s left out.", coil);
        return;
    }
    print_kept(setup, solution->turns_kept, solution->turns, kept, sizeof kept);
    cw_print_ohms(setup->value[CW_P_SPLIT_RESISTOR], ohms, sizeof ohms);
    cw_print_farads(setup->value[CW_P_SPLIT_CAPACITOR], farads, sizeof farads);
    const char *const fill[][2] = {{"{keep}", kept}, {"{resistor}", ohms}, {"{capacitor}", farads}, {"{coil}", coil}};
    add_filled(text, kind->wiring, fill, sizeof fill / sizeof fill[0]);
}

const char *cw_split_words(const struct cw_split_answer *answer, const struct cw_split_solution *solution,
                           char text[CW_SPLIT_TEXT])
{
    const struct cw_split_figures *f = &solution->after;
    char hz[32];
    text[0] = '\0';
    add_wiring(text, solution);
    add(text, " %s and %s", brightness_words(f->balance), against_one_coil(f->balance - answer->plain_figures.balance));
    char treble[4][32];
    add(text, " (treble %s under the strings, %s to %s by string and pluck; %s with %s reduced)",
        cw_print_db(f->balance, 1, treble[0], sizeof treble[0]),
        cw_print_signed(f->balance_low, 1, treble[1], sizeof treble[1]),
        cw_print_signed(f->balance_high, 1, treble[2], sizeof treble[2]),
        cw_print_signed(f->balance_other, 1, treble[3], sizeof treble[3]),
        cw_split_coil_name(solution->reduced == CW_SPLIT_COIL_ONE ? CW_SPLIT_COIL_TWO : CW_SPLIT_COIL_ONE));
    add(text, ", by ear %s just noticeable", cw_split_print_ear(&solution->ear.is, hz, sizeof hz));
    if (solution->ear.is.times >= 1.0 && solution->ear.is.hz > 0.0) {
        add(text, ", at %s", cw_print_hz(solution->ear.is.hz, hz, sizeof hz));
    }
    if (f->lift_db > 1.0) {
        add(text, ", %.1f dB over full at %s", f->lift_db, cw_print_hz(f->lift_hz, hz, sizeof hz));
    }
    if (f->hole_db < 0.0) {
        add(text, ", with a hole in the middle: %.1f dB below full at %s", -f->hole_db,
            cw_print_hz(f->hole_hz, hz, sizeof hz));
    }
    if (f->split_resonance > 0.0) {
        add(text, "; the capacitor rings with its coil at %s", cw_print_hz(f->split_resonance, hz, sizeof hz));
    }
    add(text, "; ");
    add_noise(text, "mains hum", f->hum);
    add(text, ", ");
    add_noise(text, "buzz", f->buzz);
    add(text, ".");
    return text;
}

const char *cw_split_print_ear(const struct cw_audible *ear, char *text, size_t size)
{
    if (isinf(ear->times)) {
        snprintf(text, size, "far");
    } else {
        snprintf(text, size, "%.1f times", ear->times);
    }
    return text;
}

/* How far from what is wanted of the treble: that asked for, else that of full. */
static double treble_miss(const struct cw_split_wish *wish, double balance)
{
    double miss = balance - (wish->tone == CW_TONE_BALANCE ? wish->tone_value : 0.0);
    return wish->tone_at_most && wish->tone == CW_TONE_BALANCE && miss < 0.0 ? 0.0 : fabs(miss);
}

/* Whether the other coil is the one to keep: 1, else 0; -1 where it makes no odds. A treble that is asked for goes
 * first; else the ear, where it tells them apart by half of what is just noticed, and then the treble. */
static int choose_coil(const struct cw_split_wish *wish, const struct cw_split_ear *ear, const double balance[2])
{
    const double least_times = 0.5, least_treble = 0.25;
    double nearer = ear->is.times - ear->other.times;
    if (wish->tone != CW_TONE_BALANCE && fabs(nearer) >= least_times) {
        return nearer > 0.0;
    }
    double duller = treble_miss(wish, balance[0]) - treble_miss(wish, balance[1]);
    return fabs(duller) >= least_treble ? duller > 0.0 : -1;
}

static const char *near_words(const struct cw_setup *setup, enum cw_split_coil coil)
{
    bool near_one = setup->value[CW_P_NEAR_COIL] == CW_NEAR_COIL_ONE;
    return near_one == (coil == CW_SPLIT_COIL_ONE) ? "nearer the bridge" : "farther from the bridge";
}

const char *cw_split_keep_words(const struct cw_split_wish *wish, const struct cw_split_answer *answer,
                                char text[CW_SPLIT_TEXT])
{
    const struct cw_split_solution *first = &answer->solution[0];
    const struct cw_split_figures *f = &first->after;
    bool one = first->reduced == CW_SPLIT_COIL_ONE;
    enum cw_split_coil coil[2] = {one ? CW_SPLIT_COIL_TWO : CW_SPLIT_COIL_ONE, first->reduced};
    const struct cw_audible *ear[2] = {&first->ear.is, &first->ear.other};
    double balance[2] = {f->balance, f->balance_other};
    int keep = choose_coil(wish, &first->ear, balance), leave = !keep;
    char times[2][24], treble[2][32];
    for (int i = 0; i < 2; i++) {
        cw_split_print_ear(ear[i], times[i], sizeof times[i]);
        cw_print_db(balance[i], 1, treble[i], sizeof treble[i]);
    }
    text[0] = '\0';
    if (keep < 0) {
        add(text, "Either coil may stay with split 1: by ear %s with %s kept and %s with %s; treble %s and %s.",
            times[0], cw_split_coil_name(coil[0]), times[1], cw_split_coil_name(coil[1]), treble[0], treble[1]);
        return text;
    }
    add(text, "Keep %s, %s (--reduce %s): split 1 is then by ear %s, with %s kept %s; treble %s against %s.",
        cw_split_coil_name(coil[keep]), near_words(&answer->full, coil[keep]),
        coil[leave] == CW_SPLIT_COIL_ONE ? "one" : "two", times[keep], cw_split_coil_name(coil[leave]), times[leave],
        treble[keep], treble[leave]);
    if (fabs(balance[keep] - balance[leave]) >= 0.1) {
        bool brighter = balance[keep] > balance[leave], mends = brighter == (balance[leave] < 0.0);
        add(text, " It hears %s treble in its place%s.", brighter ? "more" : "less",
            !mends     ? ""
            : brighter ? ", which makes up for what the split takes"
                       : ", where the other would be too bright");
    }
    return text;
}

/* The parts before rounding, where rounding changed them. */
static void add_rounding(char text[CW_SPLIT_TEXT], const struct cw_split_solution *solution)
{
    double level = solution->after.level - solution->before.level;
    double balance = solution->after.balance - solution->before.balance;
    char kept[64], exact[96];
    print_kept(&solution->exact, 0.0, 0.0, kept, sizeof kept);
    if (solution->turns > 0.0) {
        snprintf(kept, sizeof kept, "%.1f turns", solution->exact.value[CW_P_SPLIT_KEEP] * 0.01 * solution->turns);
    }
    join_parts(&solution->exact, kept, exact, sizeof exact);
    if (fabs(level) < 0.005 && fabs(balance) < 0.005) {
        add(text, " Exact would be %s; rounding changes nothing.", exact);
        return;
    }
    char levels[32], treble[32];
    add(text, " Exact would be %s; rounding changes the level by %s, the treble by %s.", exact,
        cw_print_db(level, 2, levels, sizeof levels), cw_print_db(balance, 2, treble, sizeof treble));
}

static void add_tone_miss(char text[CW_SPLIT_TEXT], const struct cw_split_wish *wish,
                          const struct cw_split_figures *figures)
{
    char hz[32];
    if (wish->tone == CW_TONE_BALANCE) {
        double miss = cw_split_tone_error(wish, figures);
        add(text, " %.1f dB %s than asked.", fabs(miss), miss > 0.0 ? "brighter" : "darker");
    } else if (figures->resonance > 0.0) {
        add(text, " The nearest resonance at this level is %s.", cw_print_hz(figures->resonance, hz, sizeof hz));
    } else {
        add(text, " Has no resonance.");
    }
}

/* A pair of which one part does next to nothing is said to be what it is. */
static const char *idle_part(const struct cw_split_solution *solution)
{
    /* Of the corner, Hz: a resistor across turns damps their resonance long before its corner. */
    const double least = 30.0, most = cw_split_kind[solution->by].tapped ? 100e3 : 20e3;
    double corner = cw_split_corner_hz(&solution->exact);
    if (corner >= least && corner <= most) {
        return NULL;
    }
    switch (cw_split_kind[solution->by].network) {
    case CW_NETWORK_RC_SERIES: return corner < least ? "capacitor" : "resistor";
    case CW_NETWORK_RC_PARALLEL: return corner < least ? "resistor" : "capacitor";
    case CW_NETWORK_R: return corner < least ? "tap" : "resistor";
    case CW_NETWORK_C: return corner < least ? "tap" : "capacitor";
    case CW_NETWORK_NONE: break;
    }
    return NULL;
}

const char *cw_split_remark(const struct cw_split_wish *wish, const struct cw_split_solution *solution,
                            char text[CW_SPLIT_TEXT])
{
    text[0] = '\0';
    if (!solution->reached) {
        char wanted[32], got[32];
        add(text, " Cannot reach %s: the nearest is %s.", cw_print_db(wish->level, 2, wanted, sizeof wanted),
            cw_print_db(solution->before.level, 2, got, sizeof got));
    }
    if (!solution->tone_met) {
        add_tone_miss(text, wish, &solution->before);
    }
    bool pair = cw_split_has_two_parts(solution->by);
    const char *idle = pair ? idle_part(solution) : NULL;
    if (idle) {
        add(text, " The %s does next to nothing here.", idle);
    }
    add_rounding(text, solution);
    return text + 1;
}
