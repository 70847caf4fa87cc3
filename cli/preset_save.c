/* SPDX-License-Identifier: ISC */
#include "preset_save.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "message.h"
#include "output.h"
#include "plugin_uri.h"
#include "preset_text.h"
#include "turtle.h"

/* More than a manifest of ours has. */
enum { MANIFEST_BYTES = 4096 };

/* What is saved, and whether over a file that is there. */
struct preset {
    const char *label, *comment;
    const struct cw_setup *const *setups;
    const struct cw_preset_words *words;
    bool force;
};

static bool write_preset(FILE *stream, const struct preset *preset)
{
    size_t length = cw_preset_text(preset->label, preset->comment, preset->setups, preset->words, NULL, 0);
    char *text = malloc(length + 1);
    if (!text) {
        cw_error_memory();
        return false;
    }
    cw_preset_text(preset->label, preset->comment, preset->setups, preset->words, text, length + 1);
    fwrite(text, 1, length, stream); /* cw_output_commit() looks for an error of the stream */
    free(text);
    return true;
}

static bool save_file(const char *path, const struct preset *preset)
{
    struct cw_output output;
    if (!cw_output_open(&output, path, preset->force)) {
        return false;
    }
    if (!write_preset(output.stream, preset)) {
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}

static bool save_manifest(const char *path, bool force)
{
    struct cw_output output;
    if (!cw_output_open(&output, path, force)) {
        return false;
    }
    fprintf(output.stream,
            "%s<preset.ttl>\n\ta pset:Preset ;\n\tlv2:appliesTo <" CW_PLUGIN_URI "> ;\n\trdfs:seeAlso <preset.ttl> .\n",
            cw_preset_prefixes);
    return cw_output_commit(&output);
}

/* A manifest that names anything but a preset of ours is of a bundle that is somebody else's. */
static bool names_ours(const char *name, const char *text, size_t length)
{
    char unsaid[200] = "";
    size_t at = 0;
    bool ours = true, applies = false;
    struct cw_turtle turtle;
    cw_message_keep(unsaid, sizeof unsaid);
    bool read = cw_turtle_parse(name, text, length, &turtle);
    cw_message_keep(NULL, 0);
    if (!read) {
        return false;
    }
    for (const struct cw_statement *s; (s = cw_turtle_next(&turtle, NULL, NULL, &at));) {
        const char *file = strrchr(s->subject, '/');
        ours = ours && file && strcmp(file, "/preset.ttl") == 0;
        applies = applies || strcmp(s->object, CW_PLUGIN_URI) == 0;
    }
    cw_turtle_free(&turtle);
    return ours && applies;
}

static bool is_ours(const char *name)
{
    char text[MANIFEST_BYTES + 1];
    FILE *file = fopen(name, "r");
    size_t length = file ? fread(text, 1, MANIFEST_BYTES, file) : 0;
    bool read = file && !ferror(file);
    if (file) {
        fclose(file);
    }
    text[length] = '\0';
    return read && length < MANIFEST_BYTES && names_ours(name, text, length);
}

static bool is_own_manifest(const char *name)
{
    bool good = cw_output_plain(name, "a file of the bundle");
    if (good && access(name, F_OK) == 0 && !is_ours(name)) {
        cw_error_at(name, 0, "expected the manifest of a bundle that new or fit wrote, found another bundle's");
        good = false;
    }
    return good;
}

/* A bundle is found by hosts once its directory is in their LV2 path. The manifest comes last: a
 * host that looks meanwhile sees no half of it. */
static bool fill_bundle(const char *path, const struct preset *preset)
{
    size_t size = strlen(path) + sizeof "/manifest.ttl";
    char *name = malloc(size);
    if (!name) {
        cw_error_memory();
        return false;
    }
    bool made = mkdir(path, 0777) == 0;
    if (!made && errno != EEXIST) {
        cw_error_at(path, 0, "cannot make the bundle: %s", strerror(errno));
        free(name);
        return false;
    }
    snprintf(name, size, "%s/manifest.ttl", path);
    bool good = is_own_manifest(name);
    snprintf(name, size, "%s/preset.ttl", path);
    good = good && cw_output_plain(name, "a file of the bundle") && save_file(name, preset);
    if (good) {
        snprintf(name, size, "%s/manifest.ttl", path);
        good = save_manifest(name, preset->force);
        if (!good && made) {
            snprintf(name, size, "%s/preset.ttl", path);
            unlink(name);
        }
    }
    if (!good && made) {
        rmdir(path);
    }
    free(name);
    return good;
}

/* Two short files: a signal waits until both are there. */
static bool save_bundle(const char *path, const struct preset *preset)
{
    sigset_t set, old;
    sigemptyset(&set);
    sigaddset(&set, SIGINT);
    sigaddset(&set, SIGTERM);
    sigaddset(&set, SIGHUP);
    sigprocmask(SIG_BLOCK, &set, &old);
    bool good = fill_bundle(path, preset);
    sigprocmask(SIG_SETMASK, &old, NULL);
    return good;
}

static bool is_bundle(const char *path)
{
    size_t length = strlen(path);
    return length > 4 && strcmp(path + length - 4, ".lv2") == 0;
}

static bool save(const char *path, const struct preset *preset)
{
    return cw_turtle_text_fits(path, "label", preset->label, CW_LABEL_BYTES_MAX) &&
           cw_turtle_text_fits(path, "comment", preset->comment, CW_COMMENT_BYTES_MAX) &&
           (is_bundle(path) ? save_bundle : save_file)(path, preset);
}

/* The two files of a bundle that is there. */
static bool is_ready_within(const char *path, bool force)
{
    size_t size = strlen(path) + sizeof "/manifest.ttl";
    char *manifest = malloc(size), *preset = malloc(size);
    bool good = manifest && preset;
    if (good) {
        snprintf(manifest, size, "%s/manifest.ttl", path);
        snprintf(preset, size, "%s/preset.ttl", path);
        const char *const both[] = {manifest, preset};
        good = is_own_manifest(manifest) && cw_output_plain(preset, "a file of the bundle") &&
               cw_outputs_ready(both, 2, force);
    } else {
        cw_error_memory();
    }
    free(manifest);
    free(preset);
    return good;
}

bool cw_preset_ready(const char *path, bool force)
{
    struct stat status;
    return !path ||
           (is_bundle(path) && stat(path, &status) == 0 && S_ISDIR(status.st_mode) ? is_ready_within(path, force)
                                                                                   : cw_outputs_ready(&path, 1, force));
}

bool cw_candidate_save(const char *path, const char *label, const char *comment,
                       const struct cw_setup *const setups[CW_SETUPS], bool force)
{
    return save(path, &(struct preset){label, comment, setups, NULL, force});
}

bool cw_worded_save(const char *path, const char *label, const char *comment,
                    const struct cw_setup *const setups[CW_SETUPS], const struct cw_preset_words *words, bool force)
{
    return save(path, &(struct preset){label, comment, setups, words, force});
}
