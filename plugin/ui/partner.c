/* SPDX-License-Identifier: ISC */
#include "partner.h"

#include <stdio.h>
#include <string.h>

#include <lv2/data-access/data-access.h>
#include <lv2/instance-access/instance-access.h>

#include "layout.h"
#include "names.h"
#include "seal_mark.h"
#include "seals.h"
#include "session_text.h"
#include "setup.h"
#include "view_items.h"
#include "view_state.h"

static const double LOOK_SECONDS = 1.0 / 15.0;

void cw_partner_open(struct cw_partner *partner, const LV2_Feature *const *features)
{
    const LV2_Extension_Data_Feature *access = NULL;
    LV2_Handle instance = NULL;
    memset(partner, 0, sizeof *partner);
    for (; features && *features; features++) {
        if (strcmp((*features)->URI, LV2_INSTANCE_ACCESS_URI) == 0) {
            instance = (*features)->data;
        } else if (strcmp((*features)->URI, LV2_DATA_ACCESS_URI) == 0) {
            access = (*features)->data;
        }
    }
    if (!instance || !access || !access->data_access || !access->data_access(CW_INSTANCE_URI)) {
        return;
    }
    partner->of = access->data_access(CW_INSTANCE_URI);
    partner->instance = instance;
    partner->texts = partner->of->text_changes(instance) - 1; /* to be read at once */
    partner->live = cw_live_new(partner->of->rate(instance));
    if (partner->live) {
        partner->of->listen(instance, true);
    }
}

_Static_assert((int)CW_TEXT_SEAL_A - (int)CW_TEXT_SEAL_RECORDED == (int)CW_A &&
                   (int)CW_TEXT_SEAL_B - (int)CW_TEXT_SEAL_RECORDED == (int)CW_B && (int)CW_REC == 0,
               "seals stand in the order of the setups");

static enum cw_session_text seal_text(int which) { return (enum cw_session_text)(CW_TEXT_SEAL_RECORDED + which); }

static void give_texts(struct cw_partner *partner, struct cw_names *names, struct cw_seals *seals)
{
    for (int which = 0; which < CW_NAMES; which++) {
        if (names->changed & 1u << which) {
            partner->of->set_text(partner->instance, (enum cw_session_text)which, names->text[which]);
        }
    }
    for (int which = 0; which < CW_SETUPS; which++) {
        if (seals->changed & 1u << which) {
            partner->of->set_text(partner->instance, seal_text(which), seals->text.of[which]);
        }
    }
    names->changed = seals->changed = 0;
}

static void sync_texts(struct cw_partner *partner, struct cw_view *view)
{
    struct cw_names *names = &view->names;
    struct cw_seal_texts seals = {{""}};
    give_texts(partner, names, &view->model.seals);
    const unsigned texts = partner->of->text_changes(partner->instance);
    if (texts == partner->texts) {
        return;
    }
    partner->texts = texts;
    for (int which = 0; which < CW_NAMES; which++) {
        partner->of->text(partner->instance, (enum cw_session_text)which, names->text[which]);
    }
    for (int which = 0; which < CW_SETUPS; which++) {
        char text[CW_TEXT_SIZE];
        partner->of->text(partner->instance, seal_text(which), text);
        snprintf(seals.of[which], sizeof seals.of[which], "%.*s", CW_SEAL_MARK_TEXT - 1, text);
    }
    cw_seals_take(&view->model.seals, &seals, true);
    cw_view_lay_out(view);
}

/* Where nothing goes through, what is seen falls away; then nothing is drawn any more. */
static void look(struct cw_partner *partner, struct cw_view *view)
{
    const double since = view->model.now - partner->looked;
    if (since >= 0.0 && since < LOOK_SECONDS) {
        return;
    }
    partner->looked = view->model.now;
    const unsigned heard =
        partner->of->heard(partner->instance, partner->in, partner->out, cw_live_size(partner->live));
    const bool playing = heard != 0 && heard != partner->heard;
    partner->heard = heard;
    if (playing || view->ground_shown) {
        cw_live_feed(partner->live, playing ? partner->in : NULL, playing ? partner->out : NULL, since);
        view->ground_shown = cw_live_ground(partner->live, &view->ground);
        view->dirty |= 1u << CW_REGION_PLOT;
    }
}

void cw_partner_sync(struct cw_partner *partner, struct cw_view *view)
{
    view->names.kept = partner->of != NULL;
    if (!partner->of) {
        return;
    }
    sync_texts(partner, view);
    if (partner->live) {
        look(partner, view);
    }
}

void cw_partner_close(struct cw_partner *partner, struct cw_view *view)
{
    if (partner->of) {
        give_texts(partner, &view->names, &view->model.seals);
    }
    if (partner->of && partner->live) {
        partner->of->listen(partner->instance, false);
        cw_live_free(partner->live);
    }
    memset(partner, 0, sizeof *partner);
}
