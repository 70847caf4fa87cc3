/* SPDX-License-Identifier: ISC */
#include "turtle.h"

#include <serd/serd.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "attributes.h"
#include "message.h"

/* The reader calls itself for each bracket within a bracket; this bounds its depth. A preset that
 * sets every port has about 150. */
enum { BRACKETS_MAX = 1000 };

/* Where a text stands whose own place does not matter. */
static const char SOMEWHERE[] = "/preset.ttl";

struct reading {
    struct cw_turtle *turtle;
    SerdEnv *env;
    size_t room;
    const char *text;
    size_t length, position;
    unsigned line; /* of the byte read last */
    bool no_memory;
    unsigned error_line;
    char error[200];    /* the first error, empty while there is none */
    const char *wanted; /* an object that is looked for, and whether it was met */
    bool met;
};

/* Bytes one by one, so that the line is known when a statement arrives. */
static size_t read_bytes(void *buffer, size_t size, size_t count, void *handle)
{
    struct reading *reading = handle;
    (void)size;
    size_t n = 0;
    for (; n < count && reading->position < reading->length; n++) {
        char byte = reading->text[reading->position];
        if (reading->position && reading->text[reading->position - 1] == '\n') {
            reading->line++;
        }
        ((char *)buffer)[n] = byte;
        reading->position++;
    }
    return n;
}

static int no_stream_error(void *handle)
{
    (void)handle;
    return 0;
}

static SerdStatus on_error(void *handle, const SerdError *error)
{
    struct reading *reading = handle;
    if (!reading->error[0]) {
        vsnprintf(reading->error, sizeof reading->error, error->fmt, *error->args);
        reading->error[strcspn(reading->error, "\n")] = '\0';
        reading->error_line = error->line;
    }
    return SERD_SUCCESS;
}

static SerdStatus on_base(void *handle, const SerdNode *uri)
{
    return serd_env_set_base_uri(((struct reading *)handle)->env, uri);
}

static SerdStatus on_prefix(void *handle, const SerdNode *name, const SerdNode *uri)
{
    return serd_env_set_prefix(((struct reading *)handle)->env, name, uri);
}

static char *copy_bytes(const uint8_t *bytes, size_t count)
{
    char *text = malloc(count + 1);
    if (text) {
        if (count) {
            memcpy(text, bytes, count);
        }
        text[count] = '\0';
    }
    return text;
}

/* What Turtle does not allow and the reader lets through; with the line of the byte read last. */
static void CW_PRINTF(2, 3) note_error(struct reading *reading, const char *format, ...)
{
    va_list arguments;
    if (!reading->error[0]) {
        va_start(arguments, format);
        vsnprintf(reading->error, sizeof reading->error, format, arguments);
        va_end(arguments);
        reading->error_line = reading->line;
    }
}

static char *node_text(struct reading *reading, const SerdNode *node)
{
    if (node->type == SERD_URI || node->type == SERD_CURIE) {
        SerdNode full = serd_env_expand_node(reading->env, node);
        if (full.buf) {
            if (!serd_uri_string_has_scheme(full.buf)) {
                note_error(reading, "'%.80s' is no URI", (const char *)full.buf);
            }
            char *text = copy_bytes(full.buf, full.n_bytes);
            serd_node_free(&full);
            return text;
        }
        note_error(reading, "the prefix of '%.80s' is not defined", (const char *)node->buf);
    }
    return copy_bytes(node->buf, node->n_bytes);
}

static void free_statement(struct cw_statement *statement)
{
    free(statement->subject);
    free(statement->predicate);
    free(statement->object);
    free(statement->datatype);
}

static bool make_room(struct reading *reading)
{
    struct cw_turtle *turtle = reading->turtle;
    if (turtle->count < reading->room) {
        return true;
    }
    size_t room = reading->room ? 2 * reading->room : 256;
    struct cw_statement *item = realloc(turtle->item, room * sizeof *item);
    if (!item) {
        return false;
    }
    turtle->item = item;
    reading->room = room;
    return true;
}

static SerdStatus on_statement(void *handle, SerdStatementFlags flags, const SerdNode *graph, const SerdNode *subject,
                               const SerdNode *predicate, const SerdNode *object, const SerdNode *datatype,
                               const SerdNode *language)
{
    struct reading *reading = handle;
    (void)flags;
    (void)graph;
    (void)language;
    if (!make_room(reading)) {
        reading->no_memory = true;
        return SERD_ERR_INTERNAL;
    }
    if (memchr(object->buf, 0, object->n_bytes)) {
        note_error(reading, "no character U+0000");
        return SERD_ERR_BAD_SYNTAX;
    }
    struct cw_statement s = {
        .literal = object->type == SERD_LITERAL, .blank = object->type == SERD_BLANK, .line = reading->line};
    s.subject = node_text(reading, subject);
    s.predicate = node_text(reading, predicate);
    s.object = node_text(reading, object);
    bool typed = datatype && datatype->buf;
    s.datatype = typed ? node_text(reading, datatype) : NULL;
    if (!s.subject || !s.predicate || !s.object || (typed && !s.datatype)) {
        free_statement(&s);
        reading->no_memory = true;
        return SERD_ERR_INTERNAL;
    }
    reading->turtle->item[reading->turtle->count++] = s;
    return SERD_SUCCESS;
}

/* From where the reading is, to the end or the first mistake. */
static SerdStatus read_on(const char *path, struct reading *reading, SerdStatementSink statement)
{
    SerdReader *reader = serd_reader_new(SERD_TURTLE, reading, NULL, on_base, on_prefix, statement, NULL);
    SerdStatus status = SERD_ERR_INTERNAL;
    if (reader && reading->env) {
        serd_reader_set_strict(reader, true);
        serd_reader_set_error_sink(reader, on_error, reading);
        status = serd_reader_read_source(reader, read_bytes, no_stream_error, reading, (const uint8_t *)path, 1);
    } else {
        reading->no_memory = true;
    }
    serd_reader_free(reader);
    return status;
}

/* \param place what relative URIs are relative to */
static void set_place(struct reading *reading, const char *place)
{
    SerdNode base = serd_node_new_file_uri((const uint8_t *)place, NULL, NULL, true);
    reading->env = serd_env_new(&base);
    serd_node_free(&base);
}

static bool parse(const char *path, const char *place, struct reading *reading)
{
    set_place(reading, place);
    SerdStatus status = read_on(path, reading, on_statement);
    serd_env_free(reading->env);
    if (reading->no_memory) {
        cw_error_memory();
        return false;
    }
    if (status > SERD_FAILURE || reading->error[0]) {
        bool about = strstr(reading->text, "lv2plug.in/ns/") != NULL;
        cw_error_at(
            path, reading->error[0] ? reading->error_line : reading->line, "%s: %s%s",
            about ? "expected Turtle" : "expected an LV2 preset in Turtle",
            reading->error[0] ? reading->error : (const char *)serd_strerror(status),
            about ? ""
                  : " (is this a preset? coilwright new writes one, coilwright fit makes one of an impedance curve)");
        return false;
    }
    return true;
}

static unsigned line_of(const char *text, const char *place)
{
    unsigned line = 1;
    for (; text < place; text++) {
        line += *text == '\n';
    }
    return line;
}

static bool opens(char byte) { return byte == '[' || byte == '('; }

/* The bracket that is one too many; NULL where there is none. */
static const char *too_deep(const char *text, size_t length)
{
    size_t brackets = 0;
    for (size_t i = 0; i < length; i++) {
        brackets += opens(text[i]);
        if (brackets > BRACKETS_MAX) {
            return text + i;
        }
    }
    return NULL;
}

/* What the Turtle reader should not be given. */
static bool plausible(const char *path, const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        unsigned char byte = (unsigned char)text[i];
        if (byte < 0x20 && byte != '\n' && byte != '\r' && byte != '\t') {
            cw_error_at(path, line_of(text, text + i), "expected an LV2 preset in Turtle, found binary data");
            return false;
        }
    }
    const char *deep = too_deep(text, length);
    if (deep) {
        cw_error_at(path, line_of(text, deep), "expected a preset, found more than %d brackets", BRACKETS_MAX);
    }
    return !deep;
}

bool cw_turtle_parse_at(const char *path, const char *place, const char *text, size_t length, struct cw_turtle *turtle)
{
    memset(turtle, 0, sizeof *turtle);
    struct reading reading = {.turtle = turtle, .text = text, .length = length, .line = 1};
    bool good = plausible(path, text, length) && parse(path, place, &reading);
    if (!good) {
        cw_turtle_free(turtle);
    }
    return good;
}

bool cw_turtle_parse(const char *path, const char *text, size_t length, struct cw_turtle *turtle)
{
    return cw_turtle_parse_at(path, SOMEWHERE, text, length, turtle);
}

static SerdStatus on_any_statement(void *handle, SerdStatementFlags flags, const SerdNode *graph,
                                   const SerdNode *subject, const SerdNode *predicate, const SerdNode *object,
                                   const SerdNode *datatype, const SerdNode *language)
{
    struct reading *reading = handle;
    (void)flags, (void)graph, (void)subject, (void)predicate, (void)datatype, (void)language;
    SerdNode full = serd_env_expand_node(reading->env, object);
    reading->met = reading->met || (full.buf && strcmp((const char *)full.buf, reading->wanted) == 0);
    serd_node_free(&full);
    return SERD_SUCCESS;
}

bool cw_turtle_tells(const char *text, size_t length, const char *object)
{
    struct reading reading = {.text = text, .length = length, .line = 1, .wanted = object};
    if (too_deep(text, length)) {
        return true;
    }
    set_place(&reading, SOMEWHERE);
    while (reading.position < length && !reading.met && !reading.no_memory) {
        size_t from = reading.position;
        (void)read_on("text", &reading, on_any_statement);
        if (reading.position < length) { /* a mistake: on with the line behind it */
            size_t at = reading.position > from ? reading.position - 1 : from;
            const char *lf = memchr(text + at, '\n', length - at);
            reading.position = lf ? (size_t)(lf - text) + 1 : length;
        }
    }
    serd_env_free(reading.env);
    return reading.met || reading.no_memory;
}

bool cw_turtle_text_fits(const char *path, const char *what, const char *text, size_t most)
{
    size_t brackets = 0, length = text ? strlen(text) : 0;
    for (size_t i = 0; i < length; i++) {
        brackets += opens(text[i]);
    }
    if (length > most) {
        cw_error_at(path, 0, "expected a %s of at most %zu bytes, found %zu", what, most, length);
        return false;
    }
    if (brackets > CW_TEXT_BRACKETS_MAX) {
        cw_error_at(path, 0, "expected a %s with at most %d opening brackets, found %zu", what, CW_TEXT_BRACKETS_MAX,
                    brackets);
        return false;
    }
    return true;
}

void cw_turtle_free(struct cw_turtle *turtle)
{
    for (size_t i = 0; i < turtle->count; i++) {
        free_statement(&turtle->item[i]);
    }
    free(turtle->item);
    memset(turtle, 0, sizeof *turtle);
}

const struct cw_statement *cw_turtle_next(const struct cw_turtle *turtle, const char *subject, const char *predicate,
                                          size_t *at)
{
    while (*at < turtle->count) {
        const struct cw_statement *s = &turtle->item[(*at)++];
        if ((!subject || strcmp(s->subject, subject) == 0) && (!predicate || strcmp(s->predicate, predicate) == 0)) {
            return s;
        }
    }
    return NULL;
}

bool cw_turtle_one(const char *path, const struct cw_turtle *turtle, const char *subject, const char *predicate,
                   const char *name, const struct cw_statement **found)
{
    size_t at = 0;
    *found = cw_turtle_next(turtle, subject, predicate, &at);
    const struct cw_statement *second = *found ? cw_turtle_next(turtle, subject, predicate, &at) : NULL;
    if (second) {
        cw_error_at(path, second->line, "expected one %s, found '%.40s' and '%.40s'", name, (*found)->object,
                    second->object);
    }
    return !second;
}
