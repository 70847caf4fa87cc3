/* SPDX-License-Identifier: ISC */
/* Any text as a signature, or as a public key, of minisign: only one that was made with the key's secret holds, and
 * nobody here has it. */
#include "fuzz.h"
#include "minisign.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    /* A point of the curve that is nobody's: base64 of "Ed", eight digits and the generator of Ed25519. */
    static const char key[] = "RWQwMTIzNDU2N1hmZmZmZmZmZmZmZmZmZmZmZmZmZmZmZmZmZmZmZmZm";
    static const char text[] = "coilwright seal 1\n";
    char comment[CW_COMMENT_TEXT];
    struct fuzz_bytes bytes = {data, size};
    unsigned mode = fuzz_byte(&bytes) % 2;
    const char *file = fuzz_file(bytes.at, bytes.left);
    (void)cw_minisign_verify(mode ? key : file, "the seal", text, sizeof text - 1, file, comment);
    return 0;
}
