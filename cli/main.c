/* SPDX-License-Identifier: ISC */
#include <stdio.h>
#include <string.h>

#include "command.h"
#include "message.h"
#include "output.h"

static const struct cw_command commands[] = {
#define CW_COMMAND(name, summary) {#name, summary, cw_cmd_##name},
#include "commands.def"
#include "plugin_uri.h"
#undef CW_COMMAND
    {NULL, NULL, NULL},
};

static void print_help(FILE *stream)
{
    fputs("Usage: coilwright COMMAND [OPTION]... [FILE]...\n"
          "\n"
          "Hear a guitar pickup coil before it is wound.\n"
          "\n"
          "Commands:\n",
          stream);
    for (const struct cw_command *command = commands; command->name; command++) {
        fprintf(stream, "  %-12s %s\n", command->name, command->summary);
    }
    fputs("\n"
          "coilwright COMMAND --help tells more about a command, coilwright --version the version.\n"
          "Candidates are LV2 presets of " CW_PLUGIN_URI ": a sound saved in a host is an input here.\n"
          "Exit status: 0 done, 1 the work failed, 2 bad usage.\n",
          stream);
}

static int run_command(int argc, char **argv)
{
    for (const struct cw_command *command = commands; command->name; command++) {
        if (strcmp(argv[0], command->name) == 0) {
            return command->run(argc, argv);
        }
    }
    cw_error("expected a command, found '%s' (see coilwright --help)", argv[0]);
    return CW_BAD_USAGE;
}

int main(int argc, char **argv)
{
    cw_output_guard();
    if (argc < 2) {
        cw_error("expected a command, found nothing (see coilwright --help)");
        return CW_BAD_USAGE;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0) {
        print_help(stdout);
        return cw_stdout_finish() ? CW_DONE : CW_FAILED;
    }
    if (strcmp(argv[1], "--version") == 0) {
        puts("coilwright " CW_VERSION);
        return cw_stdout_finish() ? CW_DONE : CW_FAILED;
    }
    return run_command(argc - 1, argv + 1);
}
