/* SPDX-License-Identifier: ISC */
#include "seal_file.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "input.h"
#include "message.h"
#include "preset_load.h"

static const char first[] = "coilwright seal ";

static bool read_text(const char *path, const char *text, size_t length, struct cw_seal *seal)
{
    struct cw_seal_fault fault;
    if (cw_seal_read(text, length, seal, &fault)) {
        return true;
    }
    const bool other = strncmp(text, first, sizeof first - 1) != 0;
    cw_error_at(path, fault.line, "%s%s", fault.why,
                other ? " (is this a seal? coilwright seal makes one of a preset)" : "");
    return false;
}

char *cw_seal_load_text(const char *path, struct cw_seal *seal, size_t *length)
{
    char *text = cw_input_text(path, "a seal", CW_SEAL_TEXT, length);
    if (text && !read_text(path, text, *length, seal)) {
        free(text);
        text = NULL;
    }
    return text;
}

bool cw_seal_load(const char *path, struct cw_seal *seal)
{
    size_t length;
    char *text = cw_seal_load_text(path, seal, &length);
    free(text);
    return text != NULL;
}

static bool add_item(struct cw_candidates *list, const char *name, const struct cw_seal *seal)
{
    char label[sizeof seal->title + 24];
    snprintf(label, sizeof label, "%s, revision %s", seal->title, seal->revision);
    struct cw_candidate *item = realloc(list->item, (list->count + 1) * sizeof *item);
    if (item) {
        list->item = item;
        item[list->count] = (struct cw_candidate){.label = strdup(label), .source = strdup(name), .setup = seal->setup};
        list->count++;
    }
    if (!item || !item[list->count - 1].label || !item[list->count - 1].source) {
        cw_error_memory();
        return false;
    }
    return true;
}

bool cw_design_add(struct cw_candidates *list, const char *name, struct cw_seal *seal)
{
    struct stat status;
    size_t length;
    memset(seal, 0, sizeof *seal);
    if (stat(name, &status) != 0 || S_ISDIR(status.st_mode)) {
        return cw_candidates_add(list, name, NULL);
    }
    char *text = cw_input_text(name, "a preset or a seal", CW_FILE_MAX_BYTES, &length);
    bool sealed = text && strncmp(text, first, sizeof first - 1) == 0;
    bool good = sealed ? read_text(name, text, length, seal) && add_item(list, name, seal)
                       : text && cw_candidates_add(list, name, NULL);
    free(text);
    return good;
}
