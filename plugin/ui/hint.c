/* SPDX-License-Identifier: ISC */
#include "hint.h"

#include "control.h"
#include "figure_words.h"
#include "history.h"
#include "layout.h"
#include "model.h"
#include "names.h"
#include "numbers.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "acts.h"
#include "escape.h"
#include "numbers.h"
#include "pages.h"
#include "plot_model.h"
#include "recorded_loss.h"
#include "seal_mark.h"
#include "search.h"
#include "seals.h"
#include "session_text.h"
#include "setup.h"
#include "split_kind.h"
#include "split_solve.h"
#include "split_words.h"
#include "view.h"
#include "view_state.h"

static void say(struct cw_hint *hint, const char *name, const char *meaning, const char *keys)
{
    snprintf(hint->name, sizeof hint->name, "%s", name);
    snprintf(hint->meaning, sizeof hint->meaning, "%s", meaning);
    snprintf(hint->keys, sizeof hint->keys, "%s", keys);
}

static void of_port(const struct cw_view *view, int port, enum cw_item_kind kind, struct cw_hint *hint)
{
    static const char slider[] =
        "Drag (usual values catch), wheel, arrows; Shift: fine and free. Double-click: default. Enter: type.";
    struct cw_control control;
    cw_control_of(port, &control);
    const char *keys = kind == CW_ITEM_TOGGLE ? "Click, wheel or Space."
                       : kind == CW_ITEM_LIST ? "Click for the list; wheel or arrow keys for the next."
                                              : slider;
    if (control.global) {
        say(hint, control.info->name, control.info->meaning, keys);
        if (port == cw_port_of_global(CW_G_LEVEL_MATCH)) {
            snprintf(hint->meaning, sizeof hint->meaning, "A and B as loud as the recording, %s",
                     view->model.match_by == CW_MATCH_BY_PLAYED
                         ? "by what was played; the session keeps what was learned."
                         : "still by an assumed spectrum: it learns from the first 4 s that are played.");
            strcat(hint->keys, " Key M.");
        } else if (port == cw_port_of_global(CW_G_LEVEL_BY_PLAYED) && view->model.match_by != CW_MATCH_BY_PLAYED) {
            strcat(hint->keys, " Too little was heard yet.");
        } else if (port == cw_port_of_global(CW_G_UNDO_RECORDING)) {
            strcat(hint->keys, " Key U.");
        } else if (port == cw_port_of_global(CW_G_STRING_PLACES)) {
            cw_recorded_loss(&view->model.controls.setup[CW_REC], hint->meaning, sizeof hint->meaning);
        } else if (port == cw_port_of_global(CW_G_TRIM) || port == cw_port_of_global(CW_G_BOOST_LIMIT)) {
            strcat(hint->keys, " Can be loud: turn down first.");
        }
        return;
    }
    say(hint, control.info->name, control.info->meaning, keys);
    snprintf(hint->name, sizeof hint->name, "%s, %s", cw_model_short[control.which], control.info->name);
    enum cw_idle why = cw_control_idle(&view->model.controls, port);
    if (why != CW_ACTS) {
        snprintf(hint->meaning, sizeof hint->meaning, "Does nothing here: %s.", cw_idle_words(why));
    }
}

static void of_listen(const struct cw_view *view, int id, struct cw_hint *hint)
{
    static const char *const meaning[] = {"The recording as it came in, through the coil and cable it was made with.",
                                          "The recording as if it had been played through candidate A.",
                                          "The recording as if it had been played through candidate B."};
    static const char *const keys[] = {"Click, or key R.", "Click, or key A; X changes between A and B.",
                                       "Click, or key B; X changes between A and B."};
    say(hint, cw_global_info[CW_G_LISTEN].points[id].label, meaning[id], keys[id]);
    const char *name = view->names.text[id];
    if (name[0]) {
        char fitting[61];
        snprintf(hint->name, sizeof hint->name, "%s: %s", cw_global_info[CW_G_LISTEN].points[id].label,
                 cw_text_fit(name, fitting, sizeof fitting));
    }
    strcat(hint->keys, view->names.kept
                           ? " Right click, or key N while it is heard: its name."
                           : " Right click, or N: its name, which this host does not let the session keep.");
}

static void of_split(const struct cw_view *view, int which, struct cw_hint *hint)
{
    bool series = view->model.controls.setup[which].value[CW_P_COILS] == CW_COILS_SERIES;
    say(hint, which == CW_A ? "Split A" : "Split B",
        series ? "Full pickup or split; how it is split stands on the page Split below."
               : "A split needs two coils in series: a click makes it so, then splits.",
        "Click or Space; key S for the setup shown below.");
    if (series && view->model.controls.global[CW_G_STRING_PLACES] > 0.0) {
        cw_recorded_loss(&view->model.controls.setup[CW_REC], hint->meaning, sizeof hint->meaning);
    }
}

static void of_view(int id, struct cw_hint *hint)
{
    static const char *const meaning[CW_VIEWS] = {"Level of each path, from the string's EMF to the amplifier.",
                                                  "What each candidate changes against the recorded-through path.",
                                                  "What B changes against A."};
    static const char *const name[CW_VIEWS] = {"Level", "Against the recording", "B against A"};
    say(hint, name[id], meaning[id], "Click, or key V for the next.");
}

/* One change in words: "B, Cable length: 10 m becomes 5 m". */
static void of_change(const struct cw_change *change, bool back, char *text, size_t size)
{
    struct cw_control control;
    char from[40], to[40];
    cw_control_of(change->port, &control);
    cw_control_print(control.info, (double)(back ? change->after : change->before), from, sizeof from);
    cw_control_print(control.info, (double)(back ? change->before : change->after), to, sizeof to);
    snprintf(text, size, "%s%s%s: %s becomes %s", control.global ? "" : cw_model_short[control.which],
             control.global ? "" : ", ", control.info->name, from, to);
}

static void of_history(const struct cw_view *view, bool back, struct cw_hint *hint)
{
    const struct cw_step *step = back ? cw_history_last(&view->history) : cw_history_next(&view->history);
    say(hint, back ? "Undo" : "Redo", back ? "Nothing to take back yet." : "Nothing was taken back.",
        back ? "Click, or Ctrl+Z. What the host changes is not taken back here."
             : "Click, or Ctrl+Shift+Z, or Ctrl+Y.");
    if (step && step->text.any) {
        snprintf(hint->meaning, sizeof hint->meaning, "%s, as typed.", cw_names_label[step->text.which]);
    } else if (step && step->count == 0) {
        snprintf(hint->meaning, sizeof hint->meaning, "The seals that were carried along.");
    } else if (step) {
        char first[160];
        of_change(&step->change[0], back, first, sizeof first);
        int used = snprintf(hint->meaning, sizeof hint->meaning, "%s", first);
        if (step->count > 1) {
            snprintf(hint->meaning + used, sizeof hint->meaning - (size_t)used, ", and %d more", step->count - 1);
        }
    }
}

static void of_link(const struct cw_view *view, struct cw_hint *hint)
{
    say(hint, view->unlinked ? "Edit apart" : "Edit what I hear",
        view->unlinked ? "Listening and the controls shown are chosen apart from one another."
                       : "Choosing A or B, to hear or to change it, does both.",
        view->unlinked ? "Click or Space joins them."
                       : "Click or Space parts them: change one while the other is heard.");
}

static void of_action(int id, struct cw_hint *hint)
{
    static const char *const name[CW_ACTIONS] = {[CW_ACTION_COPY] = "Copy A to B",
                                                 [CW_ACTION_SWAP] = "Swap A and B",
                                                 [CW_ACTION_RECORD] = "A to recorded",
                                                 [CW_ACTION_FIND] = "Find a split"};
    static const char *const meaning[CW_ACTIONS] = {
        [CW_ACTION_FIND] = "Taps and parts that keep a wanted level, 75 % say, with the treble and hum of each.",
        [CW_ACTION_COPY] = "Every control of B becomes that of A; then change one thing and compare.",
        [CW_ACTION_SWAP] = "Every control of A and B changes places.",
        [CW_ACTION_RECORD] = "The recording was made through A: its coil, controls and cable are divided out."};
    say(hint, name[id], meaning[id], "Click or Space.");
}

static void of_page(int id, struct cw_hint *hint)
{
    static const char *const meaning[CW_PAGES] = {
        [CW_PAGE_COIL] = "The coil's electrical values, and how many coils there are.",
        [CW_PAGE_CORE] = "How much of the measured inductance the core takes away, and from where on.",
        [CW_PAGE_WINDING] = "Wire, turns, core and magnet that the coil's values are worked out from.",
        [CW_PAGE_FORMER] = "Dimensions of the former, and correction by a coil that was measured.",
        [CW_PAGE_SPLIT] = "How one coil is reduced when the pickup is split.",
        [CW_PAGE_CONTROLS] = "Volume and tone controls of the guitar.",
        [CW_PAGE_CABLE] = "The cable, the amplifier's input, and where the coils stand under the string.",
        [CW_PAGE_OUTPUT] = "Boost limit, mains frequency, what levels go by: for all setups."};
    if (id == CW_JOB_PAGE) {
        say(hint, "Job", "What the job is, and notes: they go with the session, and with presets.", "Click or Space.");
        return;
    }
    bool bench = id == CW_PAGE_WINDING || id == CW_PAGE_FORMER || id == CW_PAGE_SPLIT || id == CW_PAGE_CONTROLS;
    say(hint, cw_page_name[id], meaning[id], bench ? CW_CAUTIONS_LINE : "Click or Space.");
}

/* Where a split's capacitor rings by itself. */
static void of_split_resonance(const struct cw_view *view, struct cw_hint *hint)
{
    for (int which = 0; which < CW_SETUPS; which++) {
        double own = view->model.figures[which].value[CW_M_SPLIT_RESONANCE];
        if (own > 0.0) {
            char hz[32];
            snprintf(hint->meaning, sizeof hint->meaning,
                     "Where the loaded pickup rings. %s: the split's capacitor rings with its coil at %s.",
                     cw_model_short[which], cw_print_hz(own, hz, sizeof hz));
        }
    }
}

/* How each setup stands to its seal. */
static void of_seals(const struct cw_seals *seals, struct cw_hint *hint)
{
    size_t used = 0;
    say(hint, "Seal", "",
        "To match its own seal proves no more: hold the fingerprint against paper (coilwright verify).");
    for (int which = 0; which < CW_SETUPS && used < sizeof hint->meaning; which++) {
        const struct cw_seal_mark *mark = &seals->mark[which];
        const enum cw_seal_standing standing = seals->standing[which];
        const char *words = standing == CW_SEAL_HOLDS     ? "as sealed"
                            : standing == CW_SEAL_CHANGED ? "changed since"
                                                          : "a seal that this version does not know";
        if (standing != CW_SEAL_NONE) {
            used += (size_t)snprintf(hint->meaning + used, sizeof hint->meaning - used, "%s%s: %s%s%s%s%.8s%s",
                                     used ? ";  " : "", cw_model_short[which], words, *mark->revision ? " (" : "",
                                     mark->revision, *mark->revision ? " " : "", mark->fingerprint,
                                     *mark->revision ? ")" : "");
        }
    }
}

static void of_figure(const struct cw_view *view, int row, struct cw_hint *hint)
{
    static const struct {
        enum cw_meter_id meter;
        const char *more;
    } rows[CW_FIGURE_ROWS] = {
        [CW_ROW_DC_RESISTANCE] = {CW_M_DC_RESISTANCE, "What a meter reads at the leads of the cold coil."},
        [CW_ROW_INDUCTANCE] = {CW_M_LEAD_INDUCTANCE,
                               "More turns and more iron raise it; it sets the resonance with the cable."},
        [CW_ROW_RESONANCE] = {CW_M_RESONANCE, "Lower sounds darker and fuller, higher brighter; more cable lowers it."},
        [CW_ROW_PEAK_HZ] = {CW_M_PEAK_FREQUENCY, "Below the resonance, the more so the more it is damped."},
        [CW_ROW_PEAK] = {CW_M_PEAK_HEIGHT, "Higher sounds more vocal; flat sounds soft."},
        [CW_ROW_SHARE] = {CW_M_LEVEL,
                          "100 % is as loud as the full pickup; half the level is 50 %, which is 6 dB less."},
        [CW_ROW_LEVEL] = {CW_M_LEVEL, "0 dB is as loud as the full pickup."},
        [CW_ROW_HUM] = {CW_M_HUM, "0 dB hums like a single coil; two equal coils cancel it, a split gives some back."},
        [CW_ROW_BUZZ] = {CW_M_BUZZ, "The rasp over the hum, from lamps and dimmers; 0 dB is that of a single coil."},
        [CW_ROW_FILL] = {CW_M_FILL, "Fewer turns, finer wire or a deeper former make room."}};
    if (row == CW_SEAL_ROW) {
        of_seals(&view->model.seals, hint);
        return;
    }
    const struct cw_param_info *info = &cw_meter_info[rows[row].meter];
    say(hint, info->name, info->meaning, rows[row].more);
    if (row == CW_ROW_RESONANCE) {
        of_split_resonance(view, hint);
    }
}

/* What cannot be wound is said wherever nothing else is. */
static bool of_full_former(const struct cw_view *view, struct cw_hint *hint)
{
    for (int which = 0; which < CW_SETUPS; which++) {
        double fill = view->model.figures[which].value[CW_M_FILL];
        if (fill > 100.0) {
            snprintf(hint->name, sizeof hint->name, "%s: the former is full", cw_model_short[which]);
            snprintf(hint->meaning, sizeof hint->meaning,
                     "The turns ask for %.0f %% of its window; the figures are those of as many as fit.", fill);
            snprintf(hint->keys, sizeof hint->keys, "Fewer turns, finer wire or a deeper former make room.");
            hint->trouble = true;
            return true;
        }
    }
    return false;
}

/* What the crosshair reads. */
static void of_plot(const struct cw_plot *plot, struct cw_hint *hint)
{
    size_t used = 0;
    cw_print_hz(plot->crosshair_hz, hint->name, sizeof hint->name);
    for (size_t i = 0; i < plot->count && used < sizeof hint->meaning; i++) {
        char db[40];
        cw_words_db(cw_plot_value(&plot->curve[i], plot->crosshair_hz), db, sizeof db);
        used += (size_t)snprintf(hint->meaning + used, sizeof hint->meaning - used, "%s%s %s", i ? ";  " : "",
                                 plot->curve[i].label, db);
    }
    snprintf(hint->keys, sizeof hint->keys, "%s",
             plot->axis == CW_PLOT_DIFFERENCE ? "0 dB is no change."
                                              : "Level from the string's EMF to the amplifier's input.");
}

static void of_words(const struct cw_view *view, int which, struct cw_hint *hint)
{
    say(hint, cw_names_label[which],
        view->names.kept ? "The session keeps it, and so do presets that the host saves."
                         : "This host does not let the session keep it.",
        "Click to type.");
}

static void of_item(const struct cw_view *view, struct cw_ref what, struct cw_hint *hint)
{
    switch (what.kind) {
    case CW_ITEM_LISTEN: of_listen(view, what.id, hint); break;
    case CW_ITEM_SPLIT: of_split(view, what.id, hint); break;
    case CW_ITEM_VIEW: of_view(what.id, hint); break;
    case CW_ITEM_ACTION:
        if (what.id == CW_ACTION_UNDO || what.id == CW_ACTION_REDO) {
            of_history(view, what.id == CW_ACTION_UNDO, hint);
        } else {
            of_action(what.id, hint);
        }
        break;
    case CW_ITEM_LINK: of_link(view, hint); break;
    case CW_ITEM_LARGE:
        say(hint, "Large", "Listening, plot and cables alone, to be read across a counter.",
            "Click, or key L, there and back.");
        break;
    case CW_ITEM_TAB: say(hint, cw_setup_name[what.id], "Show the controls of this setup.", "Click or Space."); break;
    case CW_ITEM_PAGE: of_page(what.id, hint); break;
    case CW_ITEM_WORDS: of_words(view, what.id, hint); break;
    case CW_ITEM_TOGGLE:
    case CW_ITEM_SLIDER:
    case CW_ITEM_LIST:
    case CW_ITEM_CABLE: of_port(view, what.id, what.kind, hint); break;
    case CW_ITEM_BLIND:
        say(hint, "Blind choice", "A and B behind X and Y, drawn anew for each trial: which is better, by ear alone?",
            "Click or Space. Level match is on meanwhile.");
        break;
    case CW_ITEM_FIGURE: of_figure(view, what.id, hint); break;
    case CW_ITEM_NONE:
    default: break;
    }
}

/* What to try first; it stays until something was tried. */
static void of_opening(struct cw_hint *hint)
{
    say(hint, "",
        "Drag cable B to twice its length, then press A and B in turn. Split B reduces a coil; Level match "
        "compares at one loudness.",
        "Begin at a low volume, Level match on. Keys: R, A, B listen; X changes between A and B; Tab, arrows.");
}

/* The answer that is chosen in the list of splits. */
static void of_search(const struct cw_search *search, struct cw_hint *hint)
{
    static const char keys[] =
        "Click or Enter takes one over, Ctrl+Z takes it back. Left, Right: the level. Escape closes the list.";
    if (search->row >= search->count) {
        say(hint, "Find a split", "What keeps the wanted loudness against the full pickup, in E12 values.", keys);
        return;
    }
    const struct cw_split_solution *solution = &search->found[search->row];
    say(hint, cw_split_kind[solution->by].brief, "", keys);
    cw_search_words(solution, hint->meaning, sizeof hint->meaning);
}

void cw_hint_of(const struct cw_view *view, struct cw_hint *hint)
{
    memset(hint, 0, sizeof *hint);
    if (view->edit.what.kind) {
        of_item(view, view->edit.what, hint);
        const bool notes = view->edit.what.kind == CW_ITEM_WORDS && view->edit.what.id == CW_TEXT_NOTES;
        const bool words = view->edit.what.kind == CW_ITEM_WORDS || view->edit.what.kind == CW_ITEM_LISTEN;
        snprintf(hint->keys, sizeof hint->keys, "%s; Enter sets it, Escape leaves it as it was.",
                 notes   ? "Type; Shift+Enter begins a line"
                 : words ? "Type"
                         : "Type a value, with a unit or without");
        if (view->edit.why[0]) {
            snprintf(hint->meaning, sizeof hint->meaning, "%s", view->edit.why);
            hint->trouble = true;
        }
        return;
    }
    if (!view->used) {
        if (!of_full_former(view, hint)) {
            of_opening(hint);
        }
        return;
    }
    struct cw_ref what = view->drag.what.kind           ? view->drag.what
                         : view->menu.what.kind         ? view->menu.what
                         : view->keys && !view->pointed ? view->focus
                                                        : view->hover;
    if (view->search.open && (!view->hover.kind || view->keys) && !view->drag.what.kind) {
        of_search(&view->search, hint);
        return;
    }
    of_item(view, what, hint);
    if (!hint->name[0] && view->crosshair) {
        of_plot(&view->plot, hint);
    } else if (!hint->name[0] && !of_full_former(view, hint)) {
        of_opening(hint);
    }
}
