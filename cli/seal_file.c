/* SPDX-License-Identifier: ISC */
#include "seal_file.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "message.h"
#include "turtle.h"

static bool read_text(const char *path, const char *text, size_t length, struct cw_seal *seal)
{
    struct cw_seal_fault fault;
    if (cw_seal_read(text, length, seal, &fault)) {
        return true;
    }
    cw_error_at(path, fault.line, "%s", fault.why);
    return false;
}

bool cw_seal_load(const char *path, struct cw_seal *seal)
{
    size_t length;
    char *text = cw_turtle_text(path, CW_SEAL_TEXT, &length);
    bool good = text && read_text(path, text, length, seal);
    free(text);
    return good;
}

/* Whether a file begins as a seal does; a file that cannot be read is none, which is told by who reads it next. */
static bool is_seal(const char *path)
{
    static const char first[] = "coilwright seal ";
    char found[sizeof first] = "";
    FILE *file = fopen(path, "rb");
    bool good = file && fread(found, 1, sizeof first - 1, file) == sizeof first - 1;
    if (file) {
        fclose(file);
    }
    return good && strcmp(found, first) == 0;
}

static bool add_sealed(struct cw_candidates *list, const char *name)
{
    struct cw_seal *seal = malloc(sizeof *seal);
    char label[sizeof seal->title + 24];
    if (!seal || !cw_seal_load(name, seal)) {
        free(seal);
        return false;
    }
    snprintf(label, sizeof label, "%s, revision %s", seal->title, seal->revision);
    struct cw_candidate *item = realloc(list->item, (list->count + 1) * sizeof *item);
    if (item) {
        list->item = item;
        item[list->count] = (struct cw_candidate){.label = strdup(label), .source = strdup(name), .setup = seal->setup};
        list->count++;
    }
    free(seal);
    if (!item || !item[list->count - 1].label || !item[list->count - 1].source) {
        cw_error_memory();
        return false;
    }
    return true;
}

bool cw_design_add(struct cw_candidates *list, const char *name)
{
    return is_seal(name) ? add_sealed(list, name) : cw_candidates_add(list, name, NULL);
}
