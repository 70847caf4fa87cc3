/* SPDX-License-Identifier: ISC */
#include "match_page.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "audition_folder.h"
#include "audition_load.h"
#include "folder.h"
#include "host.h"
#include "known.h"
#include "match_report.h"
#include "message.h"
#include "progress.h"
#include "setup.h"
#include "sounds.h"

/* The target, where there is one, and the list. \param label room for the rows' names */
static size_t gather(const struct cw_match *match, const struct cw_candidate *target, char (*label)[120],
                     struct cw_candidate *candidate)
{
    size_t count = 0;
    if (target) {
        candidate[count++] = *target;
    }
    for (size_t i = 0; i < match->rows; i++) {
        cw_match_label(&match->row[i], label[i], sizeof label[i]);
        candidate[count] =
            (struct cw_candidate){.label = label[i], .setup = match->row[i].setup, .known = match->search.known};
        cw_known_follow(&candidate[count].known, &match->search.base, &candidate[count].setup);
        count++;
    }
    return count;
}

/* The phrase of our own is played on the table's default pickup, which is then undone. */
static bool set_recorded(struct cw_audition *audition, const struct cw_match_sound *play)
{
    char label[] = "The default pickup", source[] = "the phrase of our own";
    struct cw_candidate recorded = {.label = label, .source = source};
    if (play->recorded) {
        if (!cw_recorded_load(play->recorded, NULL, &recorded)) {
            return false;
        }
        bool good = cw_audition_set_recorded(audition, &recorded);
        cw_candidate_free(&recorded);
        return good;
    }
    cw_setup_defaults(&recorded.setup);
    return play->di || cw_audition_set_recorded(audition, &recorded);
}

static bool load(struct cw_audition *audition, const struct cw_match *match, const struct cw_candidate *target,
                 const struct cw_match_sound *play)
{
    struct cw_candidate *candidate = calloc(match->rows + 1, sizeof *candidate);
    char(*label)[120] = calloc(match->rows + 1, sizeof *label);
    bool good = candidate && label;
    if (good) {
        size_t count = gather(match, target, label, candidate);
        good = cw_audition_of(audition, candidate, count) && set_recorded(audition, play);
    } else {
        cw_error_memory();
    }
    free(label);
    free(candidate);
    return good;
}

static bool fill(struct cw_audition *audition, struct cw_host *host, const struct cw_match_sound *play,
                 const char *directory, bool force)
{
    const char *di = play->di, *tone = NULL;
    double worst_tone = 0.0;
    struct cw_folder folder;
    if (!cw_folder_open(&folder, directory, force)) {
        return false;
    }
    bool good = (di || cw_audition_write_demo(audition, &folder, &di, &tone)) &&
                cw_audition_fill(audition, host, di, play->channel, tone, &folder, &worst_tone);
    cw_progress_end();
    if (cw_folder_interrupted()) {
        cw_error_at(directory, 0, "interrupted, nothing written");
        good = false;
    }
    if (!good) {
        cw_folder_abandon(&folder);
        return false;
    }
    return cw_folder_commit(&folder);
}

bool cw_match_write(const struct cw_match *match, const struct cw_candidate *target, const struct cw_match_sound *play,
                    const char *directory, bool force)
{
    struct cw_audition audition = {.title = "specs that come near"};
    struct cw_host *host = cw_host_open();
    bool good = host && load(&audition, match, target, play) && fill(&audition, host, play, directory, force);
    cw_audition_free(&audition);
    cw_host_close(host);
    return good;
}
