/* SPDX-License-Identifier: ISC */
/** \file scratch.h
 * A directory for the files of a test program: set up and torn down by cmocka's group functions.
 */
#ifndef TEST_SCRATCH_H
#define TEST_SCRATCH_H

#include <stdio.h>
#include <stdlib.h>

static char scratch[] = "/tmp/coilwright-test-XXXXXX";

static inline int make_scratch(void **state)
{
    (void)state;
    return mkdtemp(scratch) ? 0 : -1;
}

static inline int remove_scratch(void **state)
{
    char command[sizeof scratch + 16];
    (void)state;
    snprintf(command, sizeof command, "rm -rf '%s'", scratch);
    return system(command);
}

#endif
