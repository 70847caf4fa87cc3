/* SPDX-License-Identifier: ISC */
#include "readings.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "input.h"
#include "message.h"
#include "quantity.h"
#include "setup.h"

enum { COLUMNS_MAX = 16, CELL = 128, FILE_MOST = 1 << 24 };

/* What a column holds. */
enum field { SERIAL, RESISTANCE, TEMPERATURE, INDUCTANCE, MODE, FREQUENCY, RESONANCE, FIELDS };

static const struct {
    const char *name;
    enum cw_unit unit;
    double least, most;
} field_info[FIELDS] = {
    [SERIAL] = {"serial", CW_UNIT_NONE, 0.0, 0.0},
    [RESISTANCE] = {"resistance", CW_UNIT_KOHM, 0.05, 100.0},
    [TEMPERATURE] = {"temperature", CW_UNIT_NONE, -20.0, 80.0},
    [INDUCTANCE] = {"inductance", CW_UNIT_HENRY, 0.01, 200.0},
    [MODE] = {"mode", CW_UNIT_NONE, 0.0, 0.0},
    [FREQUENCY] = {"frequency", CW_UNIT_HZ, 20.0, 20000.0},
    [RESONANCE] = {"resonance", CW_UNIT_HZ, 200.0, 100000.0},
};

struct reader {
    const char *path;
    unsigned line;
    char cell[COLUMNS_MAX][CELL];
    enum field of[COLUMNS_MAX];
    int columns;
};

/* The cells of a line, in quotes or without (RFC 4180). \return how many, or -1 */
static int split(char cell[COLUMNS_MAX][CELL], const char *at, size_t length)
{
    const char *end = at + length;
    int count = 0;
    for (bool more = true; more; count++) {
        size_t used = 0;
        bool quoted = at < end && *at == '"';
        at += quoted;
        if (count == COLUMNS_MAX) {
            return -1;
        }
        for (; at < end && (quoted || *at != ','); at++) {
            if (quoted && *at == '"') {
                quoted = at + 1 < end && at[1] == '"';
                at += quoted;
                if (!quoted) {
                    continue;
                }
            }
            if (used + 1 == CELL || *at == '\0') {
                return -1;
            }
            cell[count][used++] = *at;
        }
        cell[count][used] = '\0';
        more = at < end;
        at++;
        if (quoted) {
            return -1;
        }
    }
    return count;
}

static bool read_heading(struct reader *in)
{
    unsigned seen = 0;
    for (int i = 0; i < in->columns; i++) {
        int found = -1;
        for (int f = 0; f < FIELDS; f++) {
            found = strcmp(in->cell[i], field_info[f].name) == 0 ? f : found;
        }
        if (found < 0 || seen & 1u << found) {
            cw_error_at(in->path, in->line,
                        "expected columns of serial, resistance, temperature, inductance, mode, frequency, resonance, "
                        "each once, found '%s'",
                        in->cell[i]);
            return false;
        }
        seen |= 1u << found;
        in->of[i] = (enum field)found;
    }
    if (!(seen & 1u << SERIAL) || !(seen & (1u << RESISTANCE | 1u << INDUCTANCE | 1u << RESONANCE))) {
        cw_error_at(in->path, in->line, "expected a column serial and one of resistance, inductance, resonance");
        return false;
    }
    return true;
}

static bool wrong(const struct reader *in, enum field field, const char *cell)
{
    const char *unit = field == TEMPERATURE ? "°C" : cw_unit_symbol(field_info[field].unit);
    cw_error_at(in->path, in->line, "%s: expected %g to %g %s, found '%s'", field_info[field].name,
                field_info[field].least, field_info[field].most, unit, cell);
    return false;
}

static bool read_number(const struct reader *in, enum field field, const char *cell, double *value)
{
    const bool read =
        field == TEMPERATURE ? cw_celsius_parse(cell, value) : cw_quantity_parse(cell, field_info[field].unit, value);
    if (!read || !(*value >= field_info[field].least) || *value > field_info[field].most) {
        return wrong(in, field, cell);
    }
    return true;
}

static bool read_mode(const struct reader *in, const char *cell, bool *parallel)
{
    *parallel = strcmp(cell, "parallel") == 0;
    if (*parallel || strcmp(cell, "series") == 0) {
        return true;
    }
    cw_error_at(in->path, in->line, "mode: expected series or parallel, found '%s'", cell);
    return false;
}

static bool read_cell(const struct reader *in, enum field field, const char *cell, struct cw_coil_row *row)
{
    struct cw_coil_reading *r = &row->reading;
    double *const to[FIELDS] = {[RESISTANCE] = &r->resistance,
                                [TEMPERATURE] = &r->celsius,
                                [INDUCTANCE] = &r->inductance,
                                [FREQUENCY] = &r->hz,
                                [RESONANCE] = &r->resonance};
    if (field == SERIAL) {
        if (!*cell || strlen(cell) >= CW_SERIAL_TEXT) {
            cw_error_at(in->path, in->line, "serial: expected 1 to %d bytes, found '%s'", CW_SERIAL_TEXT - 1, cell);
            return false;
        }
        memcpy(row->serial, cell, strlen(cell) + 1);
        return true;
    }
    if (!*cell) {
        return true;
    }
    return field == MODE ? read_mode(in, cell, &r->parallel_mode) : read_number(in, field, cell, to[field]);
}

/* For one row more: twice as many each time that there is none. */
static bool has_room(struct cw_batch *batch)
{
    const size_t least = 16, count = batch->count;
    if (count != 0 && (count < least || (count & (count - 1)) != 0)) {
        return true;
    }
    struct cw_coil_row *row = realloc(batch->row, (count < least ? least : 2 * count) * sizeof *row);
    if (!row) {
        cw_error_memory();
        return false;
    }
    batch->row = row;
    return true;
}

static bool read_row(struct reader *in, struct cw_batch *batch)
{
    struct cw_coil_row row = {"", {NAN, NAN, NAN, 120.0, false, NAN}};
    for (int i = 0; i < in->columns; i++) {
        if (!read_cell(in, in->of[i], in->cell[i], &row)) {
            return false;
        }
    }
    row.reading.resistance *= 1e3;
    if (!has_room(batch)) {
        return false;
    }
    for (size_t i = 0; i < batch->count; i++) {
        if (strcmp(batch->row[i].serial, row.serial) == 0) {
            cw_error_at(in->path, in->line, "serial: expected each once, found '%s' again", row.serial);
            return false;
        }
    }
    batch->row[batch->count++] = row;
    return true;
}

/* One line of the file. */
static bool read_line(struct reader *in, const char *text, size_t length, struct cw_batch *batch)
{
    in->line++;
    length -= length > 0 && text[length - 1] == '\r';
    if (length == 0) {
        return true;
    }
    int count = split(in->cell, text, length);
    if (count < 0 || (in->columns > 0 && count != in->columns)) {
        cw_error_at(in->path, in->line, "expected %d cells as the heading has, found another line",
                    in->columns ? in->columns : COLUMNS_MAX);
        return false;
    }
    if (in->columns == 0) {
        in->columns = count;
        return read_heading(in);
    }
    if (batch->count == CW_READINGS_MAX) {
        cw_error_at(in->path, in->line, "expected at most %d coils, found more", CW_READINGS_MAX);
        return false;
    }
    return read_row(in, batch);
}

static bool read_text(const char *path, const char *text, size_t length, struct cw_batch *batch)
{
    static const char mark[] = "\xef\xbb\xbf"; /* that spreadsheets put in front */
    struct reader in = {.path = path};
    const char *at = text, *end = text + length;
    at += length >= 3 && memcmp(text, mark, 3) == 0 ? 3 : 0;
    while (at < end) {
        const char *lf = memchr(at, '\n', (size_t)(end - at));
        const char *stop = lf ? lf : end;
        if (!read_line(&in, at, (size_t)(stop - at), batch)) {
            return false;
        }
        at = stop + 1;
    }
    if (batch->count == 0) {
        cw_error_at(path, 0, "expected a heading and a line for each coil, found no coil");
        return false;
    }
    return true;
}

bool cw_readings_load(const char *path, struct cw_batch *batch)
{
    size_t length;
    *batch = (struct cw_batch){0};
    char *text = cw_input_text(path, "readings as a CSV table", FILE_MOST, &length);
    bool good = text && read_text(path, text, length, batch);
    free(text);
    return good;
}

void cw_batch_free(struct cw_batch *batch)
{
    free(batch->row);
    *batch = (struct cw_batch){0};
}
