/* SPDX-License-Identifier: ISC */
/* coilwright sheet: the page that a winder works from. */
#include "sheet.h"

#include <cairo-pdf.h>
#include <qrencode.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "command.h"
#include "database.h"
#include "ending.h"
#include "escape.h"
#include "journal.h"
#include "journal_entry.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "picture.h"
#include "record.h"
#include "seal.h"
#include "seal_file.h"
#include "sha256.h"
#include "sheet_page.h"
#include "show.h"
#include "table.h"

enum option { OPT_DATABASE = 1, OPT_FORCE, OPT_JOURNAL, OPT_OUTPUT };

static const struct cw_option options[] = {
    {OPT_OUTPUT, "output", 'o', "FILE",
     "Write the sheet to FILE: .pdf, .txt or .csv; default -, text on standard output."},
    {OPT_FORCE, "force", 'f', NULL, "Replace a file that is there already."},
    {OPT_JOURNAL, "journal", 0, "FILE",
     "Print number and head of the journal FILE, - for none; default that of coilwright journal --use."},
    {OPT_DATABASE, "database", 'd', "FILE", "Print number and head of the database of readings FILE; default none."},
};

static const struct cw_usage usage = {
    "sheet",
    "SEAL",
    "The page that a winder far away works from: winding, wire and former in metric and inch, parts, limits for\n"
    "the bench with what meters are good for, resistance by temperature, checks, room for readings, the split's\n"
    "schematic, and the seal's fingerprint, also as a QR code.",
    options,
    sizeof options / sizeof options[0],
    "SEAL is what coilwright seal writes. A seal that was edited is printed with NOT SEALED over it, without a code. "
    "The\n"
    "code holds the fingerprint, for coilwright verify --fingerprint. Numbers and heads show, years later, whether "
    "journal or readings were "
    "changed: coilwright journal and history --verify. The same seal, journal and readings give the same bytes again.",
};

struct request {
    const char *output, *journal, *database;
    bool force;
};

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_DATABASE: request->database = args->value; return true;
    case OPT_FORCE: return request->force = true;
    case OPT_JOURNAL: request->journal = args->value; return true;
    case OPT_OUTPUT: request->output = args->value; return true;
    default: return false;
    }
}

/* ---- text and CSV ---- */

static void print_text(FILE *stream, const struct cw_seal *seal, const struct cw_sheet *sheet)
{
    int section = -1;
    fprintf(stream, "%s\n\n", cw_sheet_status(seal, seal->holds));
    for (size_t i = 0; i < sheet->count; i++) {
        const struct cw_sheet_row *row = &sheet->row[i];
        const struct cw_sheet_heading *h = &cw_sheet_heading[row->section];
        if ((int)row->section != section && *h->title) {
            fprintf(stream, "\n%s%s%s%s%s%s\n", h->title, *h->first ? " (" : "", h->first, *h->second ? "; " : "",
                    h->second, *h->first ? ")" : "");
        }
        section = (int)row->section;
        if (*row->name) {
            fprintf(stream, "  %s: ", row->name);
        } else {
            fputs("  ", stream);
        }
        cw_print_shown(stream, row->first);
        fprintf(stream, "%s%s\n", *row->second ? "; " : "", row->second);
    }
}

static bool print_csv(FILE *stream, const struct cw_sheet *sheet)
{
    struct cw_table table;
    cw_table_init(&table, 4);
    cw_table_add(&table, "section");
    cw_table_add(&table, "name");
    cw_table_add(&table, "value");
    cw_table_add(&table, "inch or accept if read");
    for (size_t i = 0; i < sheet->count; i++) {
        const struct cw_sheet_row *row = &sheet->row[i];
        const char *title = cw_sheet_heading[row->section].title;
        cw_table_add(&table, "%s", *title ? title : "Sheet");
        cw_table_add(&table, "%s", row->name);
        cw_table_add(&table, "%s", row->first);
        cw_table_add(&table, "%s", row->second);
    }
    bool good = cw_table_print(&table, stream, true);
    cw_table_free(&table);
    return good;
}

/* ---- PDF ---- */

/* The dates of a PDF are those of the seal, so that it can be made again to the byte. */
static cairo_surface_t *make_surface(struct cw_output *output, const struct cw_seal *seal)
{
    char date[40], title[CW_SEAL_LINE];
    cairo_surface_t *surface =
        cairo_pdf_surface_create_for_stream(cw_picture_bytes, output, CW_SHEET_WIDTH, CW_SHEET_HEIGHT);
    snprintf(date, sizeof date, "%sT00:00:00", seal->date);
    snprintf(title, sizeof title, "%s, revision %s", seal->title, seal->revision);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, date);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_MOD_DATE, date);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
    return surface;
}

static bool print_pdf(struct cw_output *output, const struct cw_seal *seal, const struct cw_sheet *sheet)
{
    char digits[CW_SHA256_TEXT];
    for (int i = 0; i < CW_SHA256_TEXT; i++) { /* capitals take less room in a code */
        char c = seal->fingerprint[i];
        digits[i] = c >= 'a' && c <= 'f' ? (char)(c - 'a' + 'A') : c;
    }
    QRcode *code = seal->holds ? QRcode_encodeString(digits, 0, QR_ECLEVEL_M, QR_MODE_8, 1) : NULL;
    if (seal->holds && !code) {
        cw_error_memory();
        return false;
    }
    const struct cw_sheet_code squares = {code ? code->data : NULL, code ? code->width : 0};
    cairo_surface_t *surface = make_surface(output, seal);
    cairo_t *cr = cairo_create(surface);
    cw_sheet_draw(cr, seal, seal->holds, sheet, &squares);
    QRcode_free(code);
    return cw_picture_end(output, surface, cw_picture_drawn(cr));
}

static bool write_sheet(const struct request *request, const struct cw_seal *seal, const struct cw_sheet *sheet)
{
    struct cw_output output;
    bool good = cw_output_open(&output, request->output, request->force);
    if (!good) {
        return false;
    }
    if (cw_ends_in(request->output, ".pdf")) {
        good = print_pdf(&output, seal, sheet);
    } else if (cw_ends_in(request->output, ".csv")) {
        good = print_csv(output.stream, sheet);
    } else {
        print_text(output.stream, seal, sheet);
    }
    if (!good) {
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}

/* Journal and database as they are now. \param journal,records hold what \p kept points to */
static bool look_at_kept(const struct request *request, struct cw_journal *journal, struct cw_records *records,
                         struct cw_sheet_kept *kept)
{
    char *path;
    if (!cw_journal_chosen(request->journal, &path)) {
        return false;
    }
    size_t length;
    char *text = path ? cw_journal_text(path, &length) : NULL;
    bool good = !path || text;
    if (text && !cw_journal_check(text, length, journal)) {
        cw_error_at(path, (unsigned)journal->line, "%s", journal->why);
        good = false;
    }
    struct cw_database *database = good && request->database ? cw_database_open(request->database, false) : NULL;
    good = good && (!request->database || (database && cw_database_walk(database, NULL, NULL, records)));
    cw_database_close(database);
    *kept = (struct cw_sheet_kept){journal->count, records->count, text ? journal->head : NULL,
                                   request->database ? records->head : NULL};
    free(text);
    free(path);
    return good;
}

static int make_sheet(const struct request *request, const char *name)
{
    struct cw_seal *seal = malloc(sizeof *seal);
    struct cw_sheet *sheet = malloc(sizeof *sheet);
    struct cw_journal journal = {.count = 0};
    struct cw_records records = cw_records_none();
    struct cw_sheet_kept kept;
    bool good = seal && sheet;
    if (!good) {
        cw_error_memory();
    }
    good = good && cw_seal_load(name, seal) && look_at_kept(request, &journal, &records, &kept);
    if (good && !seal->holds) {
        cw_error_at(name, 0, "the seal was edited: the sheet says NOT SEALED");
    }
    if (good) {
        cw_sheet_fill(seal, seal->holds, &kept, sheet);
        good = write_sheet(request, seal, sheet);
    }
    free(sheet);
    free(seal);
    return good ? CW_DONE : CW_FAILED;
}

static int run(void *to, char *const *names, size_t count)
{
    const struct request *request = to;
    bool plain = strcmp(request->output, "-") == 0 || cw_ends_in(request->output, ".pdf") ||
                 cw_ends_in(request->output, ".csv") || cw_ends_in(request->output, ".txt");
    return count != 1 ? cw_bad_usage(&usage, "expected one SEAL, found %zu", count)
           : !plain   ? cw_bad_usage(&usage, "--output: expected a name that ends in .pdf, .txt or .csv")
                      : make_sheet(request, names[0]);
}

const struct cw_usage *cw_usage_sheet(void) { return &usage; }

int cw_cmd_sheet(int argc, char **argv)
{
    struct request request = {.output = "-"};
    return cw_args_run(&usage, argc, argv, take_option, run, &request);
}
