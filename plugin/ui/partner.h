/* SPDX-License-Identifier: ISC */
/** \file partner.h
 * The window's way to the plugin's instance past the ports: words and seals to and fro, and the sound to look at.
 *
 * Threading class: the window's thread.
 */
#ifndef CW_UI_PARTNER_H
#define CW_UI_PARTNER_H

#include <lv2/core/lv2.h>

#include "instance.h"
#include "live.h"
#include "view.h"
#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

struct cw_partner {
    const struct cw_instance_interface *of; /**< NULL where the host offers no way */
    LV2_Handle instance;
    struct cw_live *live;
    unsigned texts, heard; /**< counts when last looked */
    double looked;         /**< seconds of the view's clock, when the sound was last looked at */
    float in[CW_HEARD_MOST], out[CW_HEARD_MOST];
};

/** Find the instance by the host's features, and begin to look at the sound. */
void cw_partner_open(struct cw_partner *partner, const LV2_Feature *const *features);

/** Words and seals to and fro; the sound, some fifteen times a second. To be called when idle, with the view's clock
 * set. */
void cw_partner_sync(struct cw_partner *partner, struct cw_view *view);

/** What was typed last is handed over; looking ends. */
void cw_partner_close(struct cw_partner *partner, struct cw_view *view);

#ifdef __cplusplus
}
#endif
#endif
