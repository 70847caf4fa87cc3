/* SPDX-License-Identifier: ISC */
#include "page_template.h"

#include <string.h>

#include "bytes.h"
#include "sha256.h"

void cw_template_print(FILE *stream, const unsigned char *text, cw_field_printer *print, const void *data)
{
    const char *at = (const char *)text;
    for (const char *open; (open = strstr(at, "{{")) != NULL;) {
        const char *name = open + 2, *close = strstr(name, "}}");
        fwrite(at, 1, (size_t)(open - at), stream);
        print(stream, name, (size_t)(close - name), data);
        at = close + 2;
    }
    fputs(at, stream);
}

static void print_hash(FILE *stream, const unsigned char *text)
{
    unsigned char digest[CW_SHA256_BYTES];
    cw_sha256(text, strlen((const char *)text), digest);
    fputs("'sha256-", stream);
    cw_base64_print(stream, digest, sizeof digest);
    fputc('\'', stream);
}

void cw_policy_print(FILE *stream, const unsigned char *style, const unsigned char *script, const char *more)
{
    fputs(
        "default-src 'none'; connect-src 'none'; base-uri 'none'; form-action 'none'; img-src data:; media-src data:; "
        "style-src ",
        stream);
    print_hash(stream, style);
    fputs("; script-src ", stream);
    print_hash(stream, script);
    fputs(more, stream);
}
