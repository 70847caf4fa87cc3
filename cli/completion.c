/* SPDX-License-Identifier: ISC */
/* coilwright completion: what the shells need to complete command lines, from the tables of commands,
 * options and parameters. */
#include <stdio.h>
#include <string.h>

#include "arguments.h"
#include "choice.h"
#include "command.h"
#include "options.h"
#include "output.h"
#include "setup.h"

static const struct cw_usage usage = {
    "completion",
    "bash|zsh|fish",
    "Print the completion of command lines for a shell: commands, options, words of lists, symbols of --set.",
    NULL,
    0,
    "It is installed by make install. To have it without: for bash, source <(coilwright completion bash) in the "
    "file .bashrc; for zsh, write it to a file _coilwright in a directory of fpath; for fish, write it to "
    ".config/fish/completions/coilwright.fish.",
};

/* ---- what can be completed ---- */

/* What follows an option. */
enum kind { NO_VALUE, ANY_VALUE, WORDS, FILES, DIRECTORIES, EDITS };

static bool same(const char *a, const char *b) { return a && strcmp(a, b) == 0; }

/* The parameter that an option of this name sets, where it is a list. */
static const struct cw_param_info *list_of(const char *name)
{
    char symbol[64];
    snprintf(symbol, sizeof symbol, "%s", name);
    for (char *c = symbol; *c; c++) {
        *c = *c == '-' ? '_' : *c;
    }
    int id = cw_param_find(symbol);
    return id >= 0 && cw_param_info[id].flags & CW_ENUM ? &cw_param_info[id] : NULL;
}

static enum kind kind_of(const struct cw_option *option)
{
    const char *argument = option->argument;
    return !argument                                          ? NO_VALUE
           : same(argument, "FILE")                           ? FILES
           : same(argument, "DIR")                            ? DIRECTORIES
           : strncmp(argument, "SYMBOL=VALUE", 12) == 0       ? EDITS
           : strchr(argument, '|')                            ? WORDS
           : same(argument, "WORDS") && list_of(option->name) ? WORDS
                                                              : ANY_VALUE;
}

static void print_points(const struct cw_param_info *info)
{
    for (size_t i = 0; i < info->point_count; i++) {
        char word[64];
        printf("%s%s", i ? " " : "", cw_choice_word(&info->points[i], word, sizeof word));
    }
}

/* Choices joined by |; those in capitals stand for something, and are left out. */
static void print_choices(const char *argument)
{
    for (bool first = true; *argument;) {
        size_t length = strcspn(argument, "|");
        bool stands_for =
            argument[0] >= 'A' && argument[0] <= 'Z' && (length < 2 || strspn(argument + 1, "0123456789") == 0);
        if (!stands_for) {
            printf("%s%.*s", first ? "" : " ", (int)length, argument);
            first = false;
        }
        argument += length + (argument[length] == '|');
    }
}

static void print_words(const struct cw_option *option)
{
    if (strchr(option->argument, '|')) {
        print_choices(option->argument);
    } else {
        print_points(list_of(option->name));
    }
}

static void print_param_words(const struct cw_param_info *info)
{
    if (info->flags & CW_TOGGLE) {
        fputs("on off", stdout);
    } else {
        print_points(info);
    }
}

/* Each parameter and global, by call; the order of the table. */
static void each_parameter(void (*print)(const struct cw_param_info *))
{
    for (int i = 0; i < CW_PARAMS; i++) {
        print(&cw_param_info[i]);
    }
    for (int i = 0; i < CW_GLOBALS; i++) {
        print(&cw_global_info[i]);
    }
}

static void print_symbol(const struct cw_param_info *info) { printf(" %s=", info->symbol); }

/* One case of a shell for the values of a symbol. */
static void print_symbol_case(const struct cw_param_info *info)
{
    if (info->flags & (CW_TOGGLE | CW_ENUM)) {
        printf("    %s) echo '", info->symbol);
        print_param_words(info);
        puts("' ;;");
    }
}

/* The values of symbols and the list of symbols, as bash and zsh take them alike. */
static void print_symbols(void)
{
    fputs("_coilwright_symbols='", stdout);
    each_parameter(print_symbol);
    puts("'\n_coilwright_symbol_values() {\n    case $1 in");
    each_parameter(print_symbol_case);
    puts("    esac\n}");
}

/* ---- bash ---- */

static void print_bash_options(const struct cw_command *command)
{
    const struct cw_usage *of = command->usage();
    printf("    %s) echo '--help", command->name);
    for (size_t i = 0; i < of->option_count; i++) {
        if (of->options[i].name) {
            printf(" --%s", of->options[i].name);
        }
    }
    puts("' ;;");
}

/* What follows an option: @files and the like stand for more than can be listed. */
static void print_bash_values(const struct cw_command *command, const struct cw_option *option)
{
    static const char *const stands_for[] = {
        [ANY_VALUE] = "@any", [FILES] = "@files", [DIRECTORIES] = "@directories", [EDITS] = "@edits"};
    enum kind kind = option->name ? kind_of(option) : NO_VALUE;
    if (kind == NO_VALUE) {
        return;
    }
    printf("    %s:--%s", command->name, option->name);
    if (option->letter) {
        printf("|%s:-%c", command->name, option->letter);
    }
    fputs(") echo '", stdout);
    if (kind == WORDS) {
        print_words(option);
    } else {
        fputs(stands_for[kind], stdout);
    }
    puts("' ;;");
}

static void print_bash_operands(const struct cw_command *command)
{
    const char *operands = command->usage()->operands;
    if (strchr(operands, '|')) {
        printf("    %s) echo '", command->name);
        print_choices(operands);
        puts("' ;;");
    }
}

/* Bash breaks words at '=': NAME, = and VALUE are three of them, unless COMP_WORDBREAKS was changed. */
static const char bash_end[] =
    "_coilwright_reply() { # WORDS CURRENT PREFIX\n"
    "    mapfile -t COMPREPLY < <(compgen -P \"$3\" -W \"$1\" -- \"$2\")\n"
    "}\n"
    "_coilwright_edit() { # CURRENT: changes, the last of which is at work\n"
    "    local last=${1##*,} done=\n"
    "    [ \"$last\" = \"$1\" ] || done=${1%,*},\n"
    "    if [[ $last = *=* ]]; then\n"
    "        _coilwright_reply \"$(_coilwright_symbol_values \"${last%%=*}\")\" \"${last#*=}\" \"$done${last%%=*}=\"\n"
    "    else\n"
    "        compopt -o nospace\n"
    "        _coilwright_reply \"$_coilwright_symbols\" \"${last//-/_}\" \"$done\"\n"
    "    fi\n"
    "}\n"
    "_coilwright_value() { # VALUES CURRENT PREFIX\n"
    "    case $1 in\n"
    "    @any) ;;\n"
    "    @files) compopt -o filenames; mapfile -t COMPREPLY < <(compgen -f -- \"$2\") ;;\n"
    "    @directories) compopt -o filenames; mapfile -t COMPREPLY < <(compgen -d -- \"$2\") ;;\n"
    "    @edits) _coilwright_edit \"$2\" ;;\n"
    "    *) _coilwright_reply \"$1\" \"$2\" \"$3\" ;;\n"
    "    esac\n"
    "}\n"
    "_coilwright() {\n"
    "    local at=$COMP_CWORD current=${COMP_WORDS[COMP_CWORD]} command=${COMP_WORDS[1]} before values equals=\n"
    "    COMPREPLY=()\n"
    "    if [ \"$at\" = 1 ]; then\n"
    "        _coilwright_reply \"$_coilwright_commands --help --version\" \"$current\"\n"
    "        return\n"
    "    fi\n"
    "    [ \"$current\" != = ] || { current=; equals=yes; at=$((at + 1)); }\n"
    "    before=${COMP_WORDS[at-1]}\n"
    "    [ \"$before\" != = ] || { equals=yes; before=${COMP_WORDS[at-2]}; }\n"
    "    if [ -n \"$equals\" ] && [[ $before != -* ]]; then\n"
    "        if [[ $current = *,* ]]; then\n"
    "            _coilwright_edit \"$current\"\n"
    "        else\n"
    "            _coilwright_reply \"$(_coilwright_symbol_values \"${before##*,}\")\" \"$current\"\n"
    "        fi\n"
    "        return\n"
    "    fi\n"
    "    if [[ $current = --*=* ]]; then\n"
    "        before=${current%%=*}\n"
    "        values=$(_coilwright_values \"$command:${before//_/-}\")\n"
    "        _coilwright_value \"$values\" \"${current#*=}\" \"$before=\"\n"
    "        return\n"
    "    fi\n"
    "    values=$(_coilwright_values \"$command:${before//_/-}\")\n"
    "    if [ -n \"$values\" ]; then\n"
    "        _coilwright_value \"$values\" \"$current\"\n"
    "    elif [[ $current = -* ]]; then\n"
    "        _coilwright_reply \"$(_coilwright_options \"$command\")\" \"${current//_/-}\"\n"
    "    else\n"
    "        values=$(_coilwright_operands \"$command\")\n"
    "        _coilwright_value \"${values:-@files}\" \"$current\"\n"
    "    fi\n"
    "}\n"
    "complete -F _coilwright coilwright";

/* A function of the shell that chooses by its argument, one case for each command. */
static void print_cases(const char *function, void (*print)(const struct cw_command *))
{
    printf("%s() {\n    case $1 in\n", function);
    for (const struct cw_command *command = cw_commands; command->name; command++) {
        print(command);
    }
    puts("    esac\n}");
}

static void print_bash_all_values(const struct cw_command *command)
{
    const struct cw_usage *of = command->usage();
    for (size_t i = 0; i < of->option_count; i++) {
        print_bash_values(command, &of->options[i]);
    }
}

static void print_bash(void)
{
    puts("# Made by: coilwright completion bash");
    fputs("_coilwright_commands='", stdout);
    for (const struct cw_command *command = cw_commands; command->name; command++) {
        printf("%s%s", command == cw_commands ? "" : " ", command->name);
    }
    puts("'");
    print_symbols();
    print_cases("_coilwright_options", print_bash_options);
    print_cases("_coilwright_values", print_bash_all_values);
    print_cases("_coilwright_operands", print_bash_operands);
    puts(bash_end);
}

/* ---- zsh ---- */

/* The first sentence of a help, without what means something to the shell within quotes and brackets. */
static void print_brief(const char *help)
{
    for (const char *c = help; *c && !(c[0] == '.' && (c[1] == ' ' || c[1] == '\0')); c++) {
        if (!strchr("'\\[]:`$\"", *c)) {
            putchar(*c);
        }
    }
}

static void print_zsh_option(const struct cw_option *option)
{
    static const char *const action[] = {
        [ANY_VALUE] = " ", [FILES] = "_files", [DIRECTORIES] = "_files -/", [EDITS] = "_coilwright_edit"};
    enum kind kind = kind_of(option);
    printf(" \\\n        '%s--%s%s[", kind == NO_VALUE ? "" : "*", option->name, kind == NO_VALUE ? "" : "=");
    print_brief(option->help);
    fputs("]", stdout);
    if (kind == WORDS) {
        fputs(":words:(", stdout);
        print_words(option);
        fputs(")", stdout);
    } else if (kind != NO_VALUE) {
        printf(":value:%s", action[kind]);
    }
    fputs("'", stdout);
}

static void print_zsh_command(const struct cw_command *command)
{
    const struct cw_usage *of = command->usage();
    printf("    %s) _arguments '--help[Show the help]'", command->name);
    for (size_t i = 0; i < of->option_count; i++) {
        if (of->options[i].name) {
            print_zsh_option(&of->options[i]);
        }
    }
    if (strchr(of->operands, '|')) {
        fputs(" \\\n        '*:words:(", stdout);
        print_choices(of->operands);
        puts(")' ;;");
    } else {
        puts(" \\\n        '*:file:_files' ;;");
    }
}

static void print_zsh(void)
{
    puts("#compdef coilwright\n# Made by: coilwright completion zsh");
    print_symbols();
    puts("_coilwright_edit() {\n"
         "    compset -P '*,'\n"
         "    if compset -P '*='; then\n"
         "        local symbol=${${IPREFIX##*,}%=}\n"
         "        compadd -- $(_coilwright_symbol_values ${symbol##*=})\n"
         "    else\n"
         "        compadd -S '' -- $(echo $_coilwright_symbols)\n"
         "    fi\n"
         "}\n"
         "_coilwright() {\n"
         "    local -a commands\n"
         "    commands=(");
    for (const struct cw_command *command = cw_commands; command->name; command++) {
        printf("        '%s:", command->name);
        print_brief(command->summary);
        puts("'");
    }
    puts("    )\n"
         "    if (( CURRENT == 2 )); then\n"
         "        _describe command commands\n"
         "        return\n"
         "    fi\n"
         "    local command=$words[2]\n"
         "    shift words\n"
         "    (( CURRENT-- ))\n"
         "    case $command in");
    for (const struct cw_command *command = cw_commands; command->name; command++) {
        print_zsh_command(command);
    }
    puts("    esac\n}\n_coilwright \"$@\"");
}

/* ---- fish ---- */

static void print_fish_option(const struct cw_command *command, const struct cw_option *option)
{
    enum kind kind = kind_of(option);
    printf("complete -c coilwright -n '__fish_seen_subcommand_from %s' -l %s", command->name, option->name);
    if (option->letter) {
        printf(" -s %c", option->letter);
    }
    if (kind == WORDS) {
        fputs(" -x -a '", stdout);
        print_words(option);
        fputs("'", stdout);
    } else if (kind == EDITS) {
        fputs(" -x -a '(string split \" \" -- $__coilwright_symbols)'", stdout);
    } else if (kind == DIRECTORIES) {
        fputs(" -x -a '(__fish_complete_directories)'", stdout);
    } else if (kind == FILES) {
        fputs(" -r -F", stdout);
    } else if (kind == ANY_VALUE) {
        fputs(" -x", stdout);
    }
    fputs(" -d '", stdout);
    print_brief(option->help);
    puts("'");
}

static void print_fish(void)
{
    puts("# Made by: coilwright completion fish");
    fputs("set -g __coilwright_symbols '", stdout);
    each_parameter(print_symbol);
    puts("'");
    for (const struct cw_command *command = cw_commands; command->name; command++) {
        const struct cw_usage *of = command->usage();
        printf("complete -c coilwright -f -n __fish_use_subcommand -a %s -d '", command->name);
        print_brief(command->summary);
        puts("'");
        if (strchr(of->operands, '|')) {
            printf("complete -c coilwright -f -n '__fish_seen_subcommand_from %s' -a '", command->name);
            print_choices(of->operands);
            puts("'");
        }
        for (size_t i = 0; i < of->option_count; i++) {
            if (of->options[i].name) {
                print_fish_option(command, &of->options[i]);
            }
        }
    }
}

/* ---- the command ---- */

static const struct {
    const char *name;
    void (*print)(void);
} shells[] = {{"bash", print_bash}, {"zsh", print_zsh}, {"fish", print_fish}};

static bool no_options(struct cw_args *args, int id, void *to)
{
    (void)args, (void)id, (void)to;
    return false;
}

const struct cw_usage *cw_usage_completion(void) { return &usage; }

int cw_cmd_completion(int argc, char **argv)
{
    char *names[2] = {0};
    size_t count = 0;
    if (argc > 3) {
        return cw_bad_usage(&usage, "expected one shell, found %d", argc - 1);
    }
    int status = cw_args_read(&usage, argc, argv, no_options, NULL, names, &count);
    if (status >= 0) {
        return status;
    }
    for (size_t i = 0; count == 1 && i < sizeof shells / sizeof shells[0]; i++) {
        if (strcmp(names[0], shells[i].name) == 0) {
            shells[i].print();
            return cw_stdout_finish() ? CW_DONE : CW_FAILED;
        }
    }
    return cw_bad_usage(&usage, "expected bash, zsh or fish, found %s%s%s", count ? "'" : "", count ? names[0] : "none",
                        count ? "'" : "");
}
