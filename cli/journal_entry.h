/* SPDX-License-Identifier: ISC */
/** \file journal_entry.h
 * Entries that commands put into the journal where one was named: by --journal, or once in the user's configuration
 * (`coilwright journal --use`).
 */
#ifndef CW_JOURNAL_ENTRY_H
#define CW_JOURNAL_ENTRY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "attributes.h"
#include "journal.h"
#include "message.h"
#include "options.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Ids of the options below, above those of any command. */
enum { CW_OPT_JOURNAL = 10001, CW_OPT_BECAUSE };

/** Rows of a command's table of options. */
#define CW_JOURNAL_OPTION                                                                                              \
    {                                                                                                                  \
        CW_OPT_JOURNAL, "journal", 0, "FILE",                                                                          \
            "Note what was done in the journal FILE, - for none; default that of coilwright journal --use."            \
    }
#define CW_BECAUSE_OPTION                                                                                              \
    {                                                                                                                  \
        CW_OPT_BECAUSE, "because", 0, "TEXT", "The reason, for the journal; default nothing."                          \
    }

/** What a command line says of the journal. Zeroed says nothing. */
struct cw_journal_request {
    const char *file, *because;
};

/** Take one of the options above. \return false where it is another */
bool cw_journal_take(const struct cw_args *args, int id, struct cw_journal_request *request);

/** An entry under way. */
struct cw_entry {
    char *path; /**< NULL: there is no journal, and everything below does nothing */
    char *text;
    size_t size;
    FILE *stream;
    bool failed; /**< memory ran out for a field */
};

/** See, before a command begins, that the journal it would be noted in is one that holds and can be written to; the
 * command does not write over it (cli/claims.h). \return false after a message */
bool cw_journal_ready(const struct cw_journal_request *request);

/** Begin an entry. \return false where memory runs out, after a message */
bool cw_entry_begin(struct cw_entry *entry, const struct cw_journal_request *request, const char *command);

/** Add a field. \param key one word */
void cw_entry_add(struct cw_entry *entry, const char *key, const char *format, ...) CW_PRINTF(3, 4);

/** Add a file by name and SHA-256; one that cannot be read, by name. */
void cw_entry_add_file(struct cw_entry *entry, const char *key, const char *path);

/** Add a setup by name and fingerprint. */
void cw_entry_add_setup(struct cw_entry *entry, const char *key, const char *label, const struct cw_setup *setup);

/** Append the entry to the journal; it is on the disk when this returns. A last line that was cut off while it was
 * written is taken off first, and said. \param journal number and chain of the entry; 0 where there is no journal
 * \return false after a message */
bool cw_entry_append(struct cw_entry *entry, struct cw_journal *journal);

/** Say number and head of an entry that was appended. */
void cw_entry_say(const struct cw_entry *entry, const struct cw_journal *journal, FILE *stream);

/** Both, then free the entry. \param stream where number and head are said; NULL for nowhere
 * \return false after a message */
bool cw_entry_finish(struct cw_entry *entry, FILE *stream);

/** Give up. Harmless after finish and on a zeroed entry. */
void cw_entry_drop(struct cw_entry *entry);

/** The journal that is named in the user's configuration, to be freed; NULL where none is. Reports and returns false
 * where that cannot be told: nothing is left out of a journal in silence. */
bool cw_journal_configured(char **path);

/** The journal that a command line names, to be freed: of NULL that of the configuration, of "-" none, which is NULL.
 * Reports and returns false where that cannot be told. */
bool cw_journal_chosen(const char *file, char **path);

/** Name it there. Reports and returns false on failure. \param file "-" for none any more */
bool cw_journal_configure(const char *file);

/** The text of a journal, to be freed; that of one that is not there yet is empty. Reports and returns NULL where it
 * cannot be read. */
char *cw_journal_text(const char *path, size_t *length);

#ifdef __cplusplus
}
#endif
#endif
