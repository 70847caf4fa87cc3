/* SPDX-License-Identifier: ISC */
#define _XOPEN_SOURCE 700 /* realpath() */

#include "preset_load.h"

#include <dirent.h>
#include <errno.h>
#include <math.h>
#include <serd/serd.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "escape.h"
#include "input.h"
#include "message.h"
#include "plugin_uri.h"
#include "preset_text.h"
#include "quantity.h"
#include "settings_text.h"
#include "turtle.h"

#define RDF "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
#define RDFS "http://www.w3.org/2000/01/rdf-schema#"
#define XSD "http://www.w3.org/2001/XMLSchema#"
#define LV2 "http://lv2plug.in/ns/lv2core#"
#define PSET "http://lv2plug.in/ns/ext/presets#"
#define STATE "http://lv2plug.in/ns/ext/state#"

/* A preset names each port once; more than this is no preset of ours. */
enum { PORTS_MAX = 2 * CW_PORTS };

/* The one preset in the file. */
static const struct cw_statement *find_preset(const char *path, const struct cw_turtle *turtle)
{
    const struct cw_statement *found = NULL, *s;
    for (size_t at = 0; (s = cw_turtle_next(turtle, NULL, RDF "type", &at));) {
        if (strcmp(s->object, PSET "Preset") != 0) {
            continue;
        }
        if (found && strcmp(found->subject, s->subject) != 0) {
            cw_error_at(path, s->line, "expected one preset in the file, found a second one");
            return NULL;
        }
        found = s;
    }
    if (!found) {
        cw_error_at(path, 0, "expected an LV2 preset (a pset:Preset), found none");
    }
    return found;
}

static bool applies(const char *path, const struct cw_turtle *turtle, const struct cw_statement *preset)
{
    const struct cw_statement *s, *other = NULL;
    for (size_t at = 0; (s = cw_turtle_next(turtle, preset->subject, LV2 "appliesTo", &at));) {
        if (strcmp(s->object, CW_PLUGIN_URI) == 0) {
            return true;
        }
        other = s;
    }
    cw_error_at(path, other ? other->line : preset->line,
                "expected a preset with lv2:appliesTo <" CW_PLUGIN_URI ">, found %s%s%s", other ? "<" : "none",
                other ? other->object : "", other ? ">" : "");
    return false;
}

/* What a number of a type is written with: more than that, hosts read it otherwise than strtod() does, 0x10 as 0
 * and 4.5 of a whole type as 4. \return NULL: no type of a number */
static const char *characters_of(const char *datatype)
{
    static const char any[] = "0123456789+-.eE", whole[] = "0123456789+-";
    static const struct {
        const char *name, *characters;
    } types[] = {{XSD "integer", whole}, {XSD "decimal", any}, {XSD "double", any},  {XSD "float", any},
                 {XSD "int", whole},     {XSD "long", whole},  {XSD "short", whole}, {XSD "nonNegativeInteger", whole}};
    for (size_t i = 0; datatype && i < sizeof types / sizeof types[0]; i++) {
        if (strcmp(datatype, types[i].name) == 0) {
            return types[i].characters;
        }
    }
    return NULL;
}

static bool read_number(const struct cw_statement *s, double *value)
{
    char *end;
    const char *characters = s->literal ? characters_of(s->datatype) : NULL;
    if (!characters || s->object[strspn(s->object, characters)] != '\0') {
        return false;
    }
    *value = strtod(s->object, &end);
    return end != s->object && *end == '\0' && isfinite(*value);
}

static bool set_port(const char *path, const struct cw_statement *symbol, const struct cw_statement *value,
                     struct cw_file *file)
{
    struct cw_place place = cw_place_find(symbol->object);
    if (!place.found) {
        cw_error_at(path, symbol->line, "expected the symbol of a control input of <" CW_PLUGIN_URI ">, found '%s'",
                    symbol->object);
        return false;
    }
    double number;
    if (!read_number(value, &number)) {
        cw_error_at(path, value->line, "%s: expected a number as pset:value, found '%.40s'%s", symbol->object,
                    value->object, strchr(value->object, ',') ? " (the decimal point is '.')" : "");
        return false;
    }
    char why[CW_WHY_SIZE];
    if (!cw_value_check(place.global ? &cw_global_info[place.index] : &cw_param_info[place.index], &number, why)) {
        cw_error_at(path, value->line, "%s: %s", symbol->object, why);
        return false;
    }
    bool *set = place.global ? &file->sets_global[place.index] : &file->sets_param[place.which][place.index];
    if (*set) {
        cw_error_at(path, symbol->line, "expected each port once, found '%s' again", symbol->object);
        return false;
    }
    *set = true;
    if (place.global) {
        file->controls.global[place.index] = number;
    } else {
        file->controls.setup[place.which].value[place.index] = number;
        file->sets[place.which] = true;
    }
    return true;
}

/* "3,6" are two objects of one statement in Turtle: no decimal comma. */
static bool one_value(const char *path, const struct cw_turtle *turtle, const struct cw_statement *port,
                      const char *symbol, const struct cw_statement **value)
{
    const struct cw_statement *second;
    size_t at = 0;
    *value = cw_turtle_next(turtle, port->object, PSET "value", &at);
    second = *value ? cw_turtle_next(turtle, port->object, PSET "value", &at) : NULL;
    if (second) {
        cw_error_at(path, second->line,
                    "%.40s: expected one number as pset:value, found '%.40s' and '%.40s' (the decimal point is '.')",
                    symbol, (*value)->object, second->object);
    }
    return !second;
}

static bool read_port(const char *path, const struct cw_turtle *turtle, const struct cw_statement *port,
                      struct cw_file *file)
{
    const struct cw_statement *symbol, *value;
    if (!cw_turtle_one(path, turtle, port->object, LV2 "symbol", "lv2:symbol in each lv2:port", &symbol)) {
        return false;
    }
    if (!symbol || !symbol->literal) {
        cw_error_at(path, port->line, "expected lv2:symbol with a port's name in each lv2:port, found none");
        return false;
    }
    if (!one_value(path, turtle, port, symbol->object, &value)) {
        return false;
    }
    if (!value) {
        cw_error_at(path, symbol->line, "%s: expected pset:value with a number, found none", symbol->object);
        return false;
    }
    return set_port(path, symbol, value, file);
}

static bool read_ports(const char *path, const struct cw_turtle *turtle, const struct cw_statement *preset,
                       struct cw_file *file)
{
    const struct cw_statement *port;
    int count = 0;
    for (size_t at = 0; (port = cw_turtle_next(turtle, preset->subject, LV2 "port", &at));) {
        if (++count > PORTS_MAX) {
            cw_error_at(path, port->line, "expected at most %d ports, found more", PORTS_MAX);
            return false;
        }
        if (!read_port(path, turtle, port, file)) {
            return false;
        }
    }
    if (!file->sets[CW_REC] && !file->sets[CW_A] && !file->sets[CW_B]) {
        cw_error_at(path, preset->line, "expected a preset that sets ports of a setup (a_, b_ or rec_), found none");
        return false;
    }
    return true;
}

/* What the readings behind a coil leave open; of a side that is not set it says nothing. */
static bool read_known(const char *path, const struct cw_turtle *turtle, const struct cw_statement *preset,
                       struct cw_file *file)
{
    for (int which = 0; which < CW_SETUPS; which++) {
        const char *key = cw_preset_known_key((enum cw_which)which);
        const struct cw_statement *known;
        if (!cw_turtle_one(path, turtle, preset->subject, key, strchr(key, '#') + 1, &known)) {
            return false;
        }
        if (known && !(known->literal && cw_known_read(known->object, &file->known[which]))) {
            char found[41];
            cw_error_at(path, known->line,
                        "%s: expected what new wrote of the readings' errors, found '%s' (without that line the "
                        "model's own uncertainty is told)",
                        strchr(key, '#') + 1, cw_text_fit(known->object, found, sizeof found));
            return false;
        }
    }
    return true;
}

static char *name_without_suffix(const char *path)
{
    const char *slash = strrchr(path, '/');
    const char *name = slash ? slash + 1 : path;
    size_t length = strlen(name);
    if (length > 4 && strcmp(name + length - 4, ".ttl") == 0) {
        length -= 4;
    }
    char *whole = strndup(name, length), *fitting = whole ? malloc(CW_LABEL_BYTES_MAX + 1) : NULL;
    if (fitting) {
        cw_text_fit(whole, fitting, CW_LABEL_BYTES_MAX + 1);
    }
    free(whole);
    return fitting;
}

/* One text of the preset; NULL where it has none. */
static bool read_text(const char *path, const struct cw_turtle *turtle, const struct cw_statement *preset,
                      const char *what, size_t most, const struct cw_statement **text)
{
    char predicate[80], name[40];
    snprintf(predicate, sizeof predicate, RDFS "%s", what);
    snprintf(name, sizeof name, "rdfs:%s", what);
    if (!cw_turtle_one(path, turtle, preset->subject, predicate, name, text)) {
        return false;
    }
    if (*text && !(*text)->literal) {
        cw_error_at(path, (*text)->line, "expected a text in quotes as %s, found %s%.80s%s", name,
                    (*text)->blank ? "the node " : "<", (*text)->object, (*text)->blank ? "" : ">");
        return false;
    }
    return !*text || cw_turtle_text_fits(path, what, (*text)->object, most);
}

/* Label and comment, or the file's name where there is no label. */
static bool read_words(const char *path, const struct cw_turtle *turtle, const struct cw_statement *preset,
                       struct cw_file *file)
{
    const struct cw_statement *label, *comment;
    if (!read_text(path, turtle, preset, "label", CW_LABEL_BYTES_MAX, &label) ||
        !read_text(path, turtle, preset, "comment", CW_COMMENT_BYTES_MAX, &comment)) {
        return false;
    }
    file->label = label && *label->object ? strdup(label->object) : name_without_suffix(path);
    file->comment = comment ? strdup(comment->object) : NULL;
    if (!file->label || (comment && !file->comment)) {
        cw_error_memory();
        return false;
    }
    return true;
}

static bool load_turtle(const char *path, const char *text, size_t length, struct cw_file *file)
{
    struct cw_turtle turtle;
    if (!cw_turtle_parse(path, text, length, &turtle)) {
        return false;
    }
    const struct cw_statement *preset = find_preset(path, &turtle);
    bool good = preset && applies(path, &turtle, preset) && read_ports(path, &turtle, preset, file) &&
                read_known(path, &turtle, preset, file) && read_words(path, &turtle, preset, file);
    cw_turtle_free(&turtle);
    return good;
}

/* Settings as a live page writes them to be copied: they stand for candidate A. */
static bool load_settings(const char *path, const char *text, size_t length, struct cw_file *file)
{
    struct cw_settings settings;
    struct cw_settings_fault fault;
    if (strlen(text) != length) {
        cw_error_at(path, 0, "expected settings as text, found a zero byte in them");
        return false;
    }
    if (!cw_settings_read(text, &settings, &fault)) {
        cw_error_at(path, fault.line, "%s", fault.why);
        return false;
    }
    file->controls.setup[CW_A] = settings.setup;
    memcpy(file->sets_param[CW_A], settings.set, sizeof settings.set);
    file->sets[CW_A] = true;
    file->label = *settings.name ? strdup(settings.name) : name_without_suffix(path);
    if (!file->label) {
        cw_error_memory();
    }
    return file->label != NULL;
}

static bool load_text(const char *path, struct cw_file *file)
{
    size_t length;
    char *text = cw_input_text(path, "an LV2 preset in Turtle", CW_FILE_MAX_BYTES, &length);
    /* Where hosts would find a preset in it too, it is that or nothing: the two may say different things. */
    bool settings = text && cw_settings_found(text) && !cw_turtle_tells(text, length, PSET "Preset");
    bool good = settings ? load_settings(path, text, length, file) : text && load_turtle(path, text, length, file);
    free(text);
    return good;
}

static bool is_preset_name(const char *name)
{
    size_t length = strlen(name);
    return name[0] != '.' && length > 4 && strcmp(name + length - 4, ".ttl") == 0 && strcmp(name, "manifest.ttl") != 0;
}

/* Whether an address in a manifest is that of the file. */
static bool is_address_of(const char *address, const struct stat *file)
{
    struct stat status;
    char *path = (char *)serd_file_uri_parse((const uint8_t *)address, NULL);
    bool same = path && stat(path, &status) == 0 && status.st_dev == file->st_dev && status.st_ino == file->st_ino;
    serd_free(path);
    return same;
}

/* Hosts load what a manifest names, and what it says itself: that is to be the file, all of it and nothing else. */
static bool manifest_names(const char *manifest, const struct cw_turtle *turtle, const char *preset)
{
    const struct cw_statement *s;
    struct stat file;
    bool good = stat(preset, &file) == 0;
    for (size_t at = 0; good && (s = cw_turtle_next(turtle, NULL, NULL, &at));) {
        bool other = strcmp(s->predicate, RDFS "seeAlso") == 0 && !is_address_of(s->object, &file);
        if (other || strcmp(s->predicate, LV2 "port") == 0 || strcmp(s->predicate, PSET "value") == 0 ||
            strcmp(s->predicate, STATE "state") == 0) {
            cw_error_at(manifest, s->line,
                        "expected a manifest that names '%s' alone, found %s%.80s%s: hosts would load %s",
                        strrchr(preset, '/') + 1, other ? "<" : "values of its own", other ? s->object : "",
                        other ? ">" : "", other ? "that" : "them too");
            good = false;
        }
    }
    return good;
}

static bool check_manifest(const char *bundle, const char *preset)
{
    struct cw_turtle turtle;
    size_t length, size = strlen(bundle) + sizeof "/manifest.ttl";
    char *manifest = malloc(size), *place = realpath(preset, NULL);
    int reason = errno;
    bool good = manifest && place;
    if (good) {
        snprintf(manifest, size, "%s/manifest.ttl", bundle);
    } else if (manifest) {
        cw_error_at(preset, 0, "cannot read: %s", strerror(reason));
    } else {
        cw_error_memory();
    }
    if (good && access(manifest, F_OK) == 0) {
        char *text = cw_input_text(manifest, "the manifest of a bundle", CW_FILE_MAX_BYTES, &length);
        good = text && cw_turtle_parse_at(manifest, place, text, length, &turtle);
        if (good) {
            good = manifest_names(manifest, &turtle, preset);
            cw_turtle_free(&turtle);
        }
        free(text);
    }
    free(manifest);
    free(place);
    return good;
}

/* The preset of a bundle as hosts write them: the one Turtle file beside manifest.ttl. */
static char *file_in_bundle(const char *path)
{
    DIR *directory = opendir(path);
    if (!directory) {
        cw_error_at(path, 0, "cannot read: %s", strerror(errno));
        return NULL;
    }
    char *found = NULL;
    int count = 0;
    for (struct dirent *entry; (entry = readdir(directory));) {
        if (is_preset_name(entry->d_name) && ++count == 1) {
            size_t size = strlen(path) + strlen(entry->d_name) + 2;
            found = malloc(size);
            if (found) {
                snprintf(found, size, "%s/%s", path, entry->d_name);
            }
        }
    }
    closedir(directory);
    if (count != 1) {
        cw_error_at(path, 0, "expected a preset file or a bundle with one preset, found a directory with %d", count);
        free(found);
        return NULL;
    }
    return found;
}

bool cw_file_load(const char *path, struct cw_file *file)
{
    memset(file, 0, sizeof *file);
    cw_controls_defaults(&file->controls);
    struct stat status;
    bool good;
    if (stat(path, &status) == 0 && S_ISDIR(status.st_mode)) {
        char *inner = file_in_bundle(path);
        good = inner && check_manifest(path, inner) && load_text(inner, file);
        free(inner);
    } else {
        good = load_text(path, file);
    }
    if (!good) {
        cw_file_free(file);
    }
    return good;
}

void cw_file_free(struct cw_file *file)
{
    free(file->label);
    free(file->comment);
    memset(file, 0, sizeof *file);
}
