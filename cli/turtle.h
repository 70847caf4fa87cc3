/* SPDX-License-Identifier: ISC */
/** \file turtle.h
 * Read a Turtle file into a list of statements with their lines. Mistakes are reported in one
 * line with the place.
 */
#ifndef CW_TURTLE_H
#define CW_TURTLE_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** One statement; URIs are written out in full. */
struct cw_statement {
    char *subject, *predicate, *object;
    char *datatype; /**< of a typed literal, else NULL */
    bool literal;   /**< the object is a literal */
    bool blank;     /**< the object is a blank node */
    unsigned line;
};

/** The statements of a file in their order. */
struct cw_turtle {
    struct cw_statement *item;
    size_t count;
};

/** Read statements. \param path for messages \param text with a zero behind it
 * Reports and returns false on failure; then there is nothing to free. */
bool cw_turtle_parse(const char *path, const char *text, size_t length, struct cw_turtle *turtle);
void cw_turtle_free(struct cw_turtle *turtle);

/** The same, with relative URIs against \p place, the absolute path of a file. */
bool cw_turtle_parse_at(const char *path, const char *place, const char *text, size_t length, struct cw_turtle *turtle);

/** Whether a reader that passes over what it does not understand, as hosts' does, finds a statement with this object in
 * a text; true as well where that cannot be told. */
bool cw_turtle_tells(const char *text, size_t length, const char *object);

/** Limits of a text that is kept: a file that is read, whatever is in it, can be written and read again. */
enum { CW_LABEL_BYTES_MAX = 199, CW_COMMENT_BYTES_MAX = 100000, CW_TEXT_BRACKETS_MAX = 250 };

/** Whether a label or a comment (\p what; NULL fits) of at most \p most bytes is within them. Reports where it is not.
 */
bool cw_turtle_text_fits(const char *path, const char *what, const char *text, size_t most);

/** The next statement of a subject with a predicate, from index \p *at on (put past it); either may
 * be NULL for any. NULL when there are no more. */
const struct cw_statement *cw_turtle_next(const struct cw_turtle *turtle, const char *subject, const char *predicate,
                                          size_t *at);

/** The only statement of a subject with a predicate: \p *found, NULL where there is none. Reports and returns
 * false where there are more. \param name of the predicate, as the person knows it */
bool cw_turtle_one(const char *path, const struct cw_turtle *turtle, const char *subject, const char *predicate,
                   const char *name, const struct cw_statement **found);

#ifdef __cplusplus
}
#endif
#endif
