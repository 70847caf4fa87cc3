/* SPDX-License-Identifier: ISC */
#include "seal_schema.h"

#include <string.h>

#include "paper.h"

const struct cw_schema_row cw_schema[] = {
#define CW_SEAL_PARAMETER(symbol, unit) {symbol, unit},
#include "seal_1.def"
#undef CW_SEAL_PARAMETER
};
const int cw_schema_rows = sizeof cw_schema / sizeof cw_schema[0];

static bool in_schema(const char *symbol)
{
    for (int i = 0; i < cw_schema_rows; i++) {
        if (strcmp(cw_schema[i].symbol, symbol) == 0) {
            return true;
        }
    }
    return false;
}

bool cw_seal_fits(const struct cw_setup *setup, const char **symbol)
{
    for (int i = 0; i < cw_schema_rows; i++) {
        if (cw_param_find(cw_schema[i].symbol) < 0) {
            *symbol = cw_schema[i].symbol;
            return false;
        }
    }
    for (int i = 0; i < CW_PARAMS; i++) {
        if (!in_schema(cw_param_info[i].symbol) && (float)setup->value[i] != (float)cw_param_info[i].preset) {
            *symbol = cw_param_info[i].symbol;
            return false;
        }
    }
    return true;
}

size_t cw_schema_print(const struct cw_setup *setup, char text[CW_SCHEMA_TEXT])
{
    struct cw_paper paper = {.text = text, .size = CW_SCHEMA_TEXT};
    char value[CW_VALUE_TEXT];
    cw_paper_print(&paper, "coilwright seal %d\n", CW_SEAL_SCHEMA);
    for (int i = 0; i < cw_schema_rows; i++) {
        int id = cw_param_find(cw_schema[i].symbol);
        double of = id < 0 ? 0.0 : setup->value[id];
        cw_paper_print(&paper, "parameter %s %s%s%s\n", cw_schema[i].symbol, cw_canonical_value(of, value),
                       *cw_schema[i].unit ? " " : "", cw_schema[i].unit);
    }
    return paper.length;
}

void cw_schema_digest(const struct cw_setup *setup, char hex[CW_SHA256_TEXT])
{
    char text[CW_SCHEMA_TEXT];
    unsigned char digest[CW_SHA256_BYTES];
    cw_sha256(text, cw_schema_print(setup, text), digest);
    cw_sha256_print(digest, hex);
}
