/* SPDX-License-Identifier: ISC */
/* SHA-256.
 *
 * Values: FIPS 180-4's examples ("abc", the 448-bit text, a million times "a") and the empty message;
 * every length around a block against the system's own sha256sum, where there is one. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "sha256.h"

static const char *digest_of(const void *bytes, size_t count)
{
    static char text[CW_SHA256_TEXT];
    unsigned char digest[CW_SHA256_BYTES];
    cw_sha256(bytes, count, digest);
    return cw_sha256_print(digest, text);
}

static void the_standards_examples(void **state)
{
    (void)state;
    const char *long_text = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
    assert_string_equal(digest_of("abc", 3), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_string_equal(digest_of("", 0), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    assert_string_equal(digest_of(long_text, strlen(long_text)),
                        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
}

static void a_million_letters_in_uneven_pieces(void **state)
{
    (void)state;
    struct cw_sha256 sha;
    unsigned char letters[997], digest[CW_SHA256_BYTES];
    char text[CW_SHA256_TEXT];
    memset(letters, 'a', sizeof letters);
    cw_sha256_start(&sha);
    for (size_t left = 1000000, piece = 1; left > 0; piece = piece % sizeof letters + 1) {
        size_t n = piece < left ? piece : left;
        cw_sha256_add(&sha, letters, n);
        left -= n;
    }
    cw_sha256_finish(&sha, digest);
    assert_string_equal(cw_sha256_print(digest, text),
                        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

static void every_length_around_a_block(void **state)
{
    (void)state;
    if (system("sha256sum --version >/dev/null 2>&1") != 0) {
        skip();
    }
    char name[] = "/tmp/sha256-XXXXXX", command[128], found[CW_SHA256_TEXT];
    unsigned char bytes[200];
    for (size_t i = 0; i < sizeof bytes; i++) {
        bytes[i] = (unsigned char)(7 * i + 3);
    }
    int descriptor = mkstemp(name);
    assert_true(descriptor >= 0);
    close(descriptor);
    for (size_t length = 50; length < sizeof bytes; length += length < 70 ? 1 : 9) {
        FILE *file = fopen(name, "wb");
        assert_non_null(file);
        assert_int_equal(fwrite(bytes, 1, length, file), length);
        assert_int_equal(fclose(file), 0);
        snprintf(command, sizeof command, "sha256sum %s", name);
        FILE *pipe = popen(command, "r");
        assert_non_null(pipe);
        assert_int_equal(fscanf(pipe, "%64s", found), 1);
        pclose(pipe);
        assert_string_equal(digest_of(bytes, length), found);
    }
    unlink(name);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_standards_examples),
        cmocka_unit_test(a_million_letters_in_uneven_pieces),
        cmocka_unit_test(every_length_around_a_block),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
