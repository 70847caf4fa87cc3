/* SPDX-License-Identifier: ISC */
/** \file instance.h
 * What the window may ask of the plugin's instance past the ports: the words of the session, and the sound that
 * goes through. The plugin's extension data of CW_INSTANCE_URI; a window reaches it where its host offers
 * LV2 instance access and data access.
 *
 * Threading class: each function any thread, beside run() and beside one another. None keeps run() waiting.
 */
#ifndef CW_INSTANCE_H
#define CW_INSTANCE_H

#include <stdbool.h>
#include <stddef.h>

#include <lv2/core/lv2.h>

#include "plugin_uri.h"
#include "session_text.h"

#ifdef __cplusplus
extern "C" {
#endif

#define CW_INSTANCE_URI CW_PLUGIN_URI "#instance_1"

struct cw_instance_interface {
    /** A text, "" where there is none. May take a lock that only those who call these functions hold. */
    void (*text)(LV2_Handle instance, enum cw_session_text which, char text[CW_TEXT_SIZE]);

    /** Take over a text. \return false, and nothing is changed, where it is not cw_session_text_valid() */
    bool (*set_text)(LV2_Handle instance, enum cw_session_text which, const char *text);

    /** How often texts were changed, by any window or by the host that restored them; wraps. */
    unsigned (*text_changes)(LV2_Handle instance);

    /** A window begins, or ends, to look at the sound. While none does it costs run() one look at a flag. */
    void (*listen)(LV2_Handle instance, bool begin);

    /** The last \p count samples that went in and came out, up to CW_HEARD_MOST. \return how many samples have gone
     * through since somebody listens, wraps: the same again means that nothing is playing; 0 where there are
     * not so many yet */
    unsigned (*heard)(LV2_Handle instance, float *in, float *out, size_t count);

    /** Sample rate, Hz. */
    double (*rate)(LV2_Handle instance);
};

/** Most samples that heard() hands out. */
enum { CW_HEARD_MOST = 8192 };

#ifdef __cplusplus
}
#endif
#endif
