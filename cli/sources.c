/* SPDX-License-Identifier: ISC */
#include "sources.h"

#include <stdlib.h>
#include <string.h>

#include "command.h"
#include "message.h"
#include "preset_load.h"
#include "setup.h"

/* A session saved in a host says itself what its recording went through. */
static bool says_recorded(const struct cw_file *file, const struct cw_edits *edits)
{
    double global[CW_GLOBALS];
    memcpy(global, file->controls.global, sizeof global);
    cw_edits_apply_globals(edits, global);
    return file->sets[CW_REC] && global[CW_G_UNDO_RECORDING] > 0.0 && (file->sets[CW_A] || file->sets[CW_B]);
}

static bool take_recorded(struct cw_loaded *loaded, const struct cw_candidate_file *file)
{
    struct cw_candidate *recorded = &loaded->recorded;
    loaded->has_recorded = true;
    *recorded = (struct cw_candidate){.label = strdup(file->said.label),
                                      .source = strdup(file->name),
                                      .setup = file->said.controls.setup[CW_REC],
                                      .known = file->said.known[CW_REC]};
    if (recorded->label && recorded->source) {
        return true;
    }
    cw_error_memory();
    return false;
}

/* One recording has one such setup: two files that differ leave it open. */
static int recorded_of_files(struct cw_loaded *loaded, const struct cw_edits *edits)
{
    for (size_t i = 0; i < loaded->list.files; i++) {
        const struct cw_candidate_file *file = &loaded->list.file[i];
        if (!says_recorded(&file->said, edits)) {
            continue;
        }
        if (loaded->has_recorded && !cw_setup_equal(&file->said.controls.setup[CW_REC], &loaded->recorded.setup)) {
            cw_error_at(file->name, 0,
                        "expected the recorded-through setup of %s, found another (--recorded chooses one)",
                        loaded->recorded.source);
            return CW_BAD_USAGE;
        }
        if (!loaded->has_recorded && !take_recorded(loaded, file)) {
            return CW_FAILED;
        }
    }
    if (loaded->has_recorded) {
        cw_edits_apply(edits, 1u << CW_REC, &loaded->recorded.setup);
        cw_edits_name_idle(edits, 1u << CW_REC, loaded->recorded.source, &loaded->recorded.setup);
    }
    return CW_DONE;
}

int cw_sources_load(const struct cw_sources *sources, struct cw_loaded *loaded)
{
    for (size_t i = 0; i < sources->count; i++) {
        if (!cw_candidates_add(&loaded->list, sources->file[i], &sources->edits)) {
            return CW_FAILED;
        }
    }
    int status = CW_DONE;
    if (sources->recorded) {
        loaded->has_recorded = cw_recorded_load(sources->recorded, &sources->edits, &loaded->recorded);
        status = loaded->has_recorded ? CW_DONE : CW_FAILED;
    } else {
        status = recorded_of_files(loaded, &sources->edits);
    }
    if (status == CW_DONE) {
        cw_edits_name_lost(&sources->edits,
                           cw_candidates_at(&loaded->list) | (loaded->has_recorded ? 1u << CW_REC : 0u));
    }
    return status;
}

void cw_loaded_free(struct cw_loaded *loaded)
{
    cw_candidates_free(&loaded->list);
    cw_candidate_free(&loaded->recorded);
    memset(loaded, 0, sizeof *loaded);
}
