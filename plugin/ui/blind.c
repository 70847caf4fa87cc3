/* SPDX-License-Identifier: ISC */
#include "blind.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "chance.h"

static const int trials_of[CW_BLIND_BUTTONS] = {
    [CW_BLIND_8] = 8, [CW_BLIND_12] = 12, [CW_BLIND_16] = 16, [CW_BLIND_24] = 24};

bool cw_blind_hides(const struct cw_blind *blind)
{
    return blind->state != CW_BLIND_OFF && blind->state != CW_BLIND_DONE;
}

void cw_blind_begin(struct cw_blind *blind)
{
    memset(blind, 0, sizeof *blind);
    blind->state = CW_BLIND_SETTING_OUT;
    blind->listen = CW_LISTEN_RECORDED;
}

bool cw_blind_offers(const struct cw_blind *blind, enum cw_blind_button button)
{
    switch (button) {
    case CW_BLIND_BEGIN: return blind->state == CW_BLIND_OFF;
    case CW_BLIND_8:
    case CW_BLIND_12:
    case CW_BLIND_16:
    case CW_BLIND_24:
    case CW_BLIND_OPEN: return blind->state == CW_BLIND_SETTING_OUT;
    case CW_BLIND_X:
    case CW_BLIND_Y:
    case CW_BLIND_PREFER_X:
    case CW_BLIND_PREFER_Y: return blind->state == CW_BLIND_TRIAL || blind->state == CW_BLIND_DRAWING;
    case CW_BLIND_END: return blind->state != CW_BLIND_OFF;
    default: return false;
    }
}

bool cw_blind_can(const struct cw_blind *blind, enum cw_blind_button button)
{
    const bool choice = button == CW_BLIND_PREFER_X || button == CW_BLIND_PREFER_Y;
    const bool trial = choice || button == CW_BLIND_X || button == CW_BLIND_Y;
    return cw_blind_offers(blind, button) && (!trial || blind->state == CW_BLIND_TRIAL) &&
           (!choice || (blind->heard_x && blind->heard_y));
}

static void next_trial(struct cw_blind *blind)
{
    const bool last = blind->trials > 0 && blind->done == blind->trials;
    blind->state = last || blind->done == CW_TRIALS_MAX ? CW_BLIND_DONE : CW_BLIND_DRAWING;
    blind->heard_x = blind->heard_y = false;
    blind->listen = CW_LISTEN_RECORDED;
}

void cw_blind_draw(struct cw_blind *blind, bool x_is_b)
{
    if (blind->state == CW_BLIND_DRAWING) {
        blind->x_is_b = x_is_b;
        blind->state = CW_BLIND_TRIAL;
    }
}

static void hear(struct cw_blind *blind, bool x)
{
    blind->listen = x == blind->x_is_b ? CW_LISTEN_B : CW_LISTEN_A;
    blind->heard_x = blind->heard_x || x;
    blind->heard_y = blind->heard_y || !x;
}

static void prefer(struct cw_blind *blind, bool x)
{
    blind->done++;
    blind->for_a += x != blind->x_is_b;
    next_trial(blind);
}

/* What was chosen to be counted at an end is not counted before: whoever leaves early learns nothing. */
static void end(struct cw_blind *blind)
{
    const bool tells = cw_blind_hides(blind) && blind->trials == 0 && blind->done > 0;
    blind->state = tells ? CW_BLIND_DONE : CW_BLIND_OFF;
    blind->listen = CW_LISTEN_RECORDED;
}

bool cw_blind_press(struct cw_blind *blind, enum cw_blind_button button)
{
    if (!cw_blind_can(blind, button)) {
        return false;
    }
    switch (button) {
    case CW_BLIND_BEGIN: cw_blind_begin(blind); break;
    case CW_BLIND_X:
    case CW_BLIND_Y: hear(blind, button == CW_BLIND_X); break;
    case CW_BLIND_PREFER_X:
    case CW_BLIND_PREFER_Y: prefer(blind, button == CW_BLIND_PREFER_X); break;
    case CW_BLIND_END: end(blind); break;
    default:
        blind->trials = trials_of[button];
        next_trial(blind);
        break;
    }
    return true;
}

bool cw_blind_spoil(struct cw_blind *blind)
{
    if (blind->state != CW_BLIND_TRIAL && blind->state != CW_BLIND_DRAWING) {
        return false;
    }
    blind->spoilt++;
    next_trial(blind);
    return true;
}

double cw_blind_evidence(const struct cw_blind *blind)
{
    return 0.5 * (cw_evidence(blind->done, blind->for_a) + cw_evidence(blind->done, blind->done - blind->for_a));
}

void cw_blind_progress(const struct cw_blind *blind, char *text, size_t size)
{
    if (blind->trials > 0) {
        snprintf(text, size, "Trial %d of %d", blind->done + 1, blind->trials);
    } else {
        snprintf(text, size, "Trial %d; evidence so far %.3g, from 20 on it is proved", blind->done + 1,
                 cw_blind_evidence(blind));
    }
}

void cw_blind_result(const struct cw_blind *blind, char *text, char *meaning, size_t size)
{
    const int more = blind->for_a > blind->done - blind->for_a ? blind->for_a : blind->done - blind->for_a;
    snprintf(text, size, "A was preferred %d times, B %d times", blind->for_a, blind->done - blind->for_a);
    if (blind->trials == 0) {
        const double evidence = cw_blind_evidence(blind);
        snprintf(meaning, size, "Evidence %.3g: %s", evidence,
                 evidence >= 20.0 ? "one of them is preferred; by chance it gets there once in 20 times at most."
                                  : "not proved. That is no proof that they are alike.");
        return;
    }
    const double chance = fmin(2.0 * cw_binomial_tail(blind->done, more, 0.5), 1.0);
    snprintf(meaning, size, "By chance alone as lopsided or more in %.2g %% of such rows: %s", 100.0 * chance,
             chance <= 0.05 ? "one of them is preferred." : "not proved. That is no proof that they are alike.");
}
