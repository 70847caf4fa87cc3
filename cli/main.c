/* SPDX-License-Identifier: ISC */
#include <stdio.h>
#include <string.h>

#include "command.h"
#include "message.h"
#include "near.h"
#include "options.h"
#include "output.h"

static int run_command(int argc, char **argv)
{
    const struct cw_command *command = cw_command_find(argv[0]);
    struct cw_nearest nearest = {0};
    if (command) {
        return command->run(argc, argv);
    }
    for (command = cw_commands; command->name; command++) {
        cw_nearest_try(&nearest, argv[0], command->name);
    }
    if (nearest.word) {
        cw_error("expected a command, found '%s': did you mean '%s'? (see coilwright --help)", argv[0], nearest.word);
    } else {
        cw_error("expected a command, found '%s' (see coilwright --help)", argv[0]);
    }
    return CW_BAD_USAGE;
}

int main(int argc, char **argv)
{
    cw_output_guard();
    if (argc < 2) {
        cw_error("expected a command, found nothing (see coilwright --help)");
        return CW_BAD_USAGE;
    }
    /* "help" and "help COMMAND", as many programs have it, and with dashes before them */
    if (strcmp(argv[1], "help") == 0 || strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0) {
        const struct cw_command *command = argc > 2 ? cw_command_find(argv[2]) : NULL;
        return command ? cw_print_help(command->usage()) : cw_commands_print();
    }
    if (strcmp(argv[1], "--version") == 0) {
        puts("coilwright " CW_VERSION);
        return cw_stdout_finish() ? CW_DONE : CW_FAILED;
    }
    return run_command(argc - 1, argv + 1);
}
