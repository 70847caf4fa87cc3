/* SPDX-License-Identifier: ISC */
/* coilwright blind: a letter without names. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "arguments.h"
#include "blind_key.h"
#include "blind_page.h"
#include "blind_render.h"
#include "candidate.h"
#include "chance.h"
#include "command.h"
#include "digest_file.h"
#include "ending.h"
#include "edits.h"
#include "escape.h"
#include "host.h"
#include "journal_entry.h"
#include "letter.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "random.h"
#include "setup.h"
#include "sha256.h"
#include "show.h"
#include "sounds.h"
#include "audition_load.h"
#include "sources.h"
#include "zip.h"

enum option {
    OPT_CHANNEL = 1,
    OPT_DI,
    OPT_FORCE,
    OPT_FROM,
    OPT_KEY,
    OPT_OUTPUT,
    OPT_QUESTION,
    OPT_RECORDED,
    OPT_REFERENCE,
    OPT_SECONDS,
    OPT_SEED,
    OPT_SET,
    OPT_TRIALS
};

static const struct cw_option options[] = {
    CW_HEADING("What is played"),
    {OPT_DI, "di", 0, "FILE", "The recording: WAV, FLAC or AIFF, mono, 8 to 384 kHz; needed."},
    {OPT_CHANNEL, "channel", 0, "N", "Take channel N, 1 to 1024, of a recording with several; default the only one."},
    {OPT_FROM, "from", 0, "N", "Begin N whole seconds into the recording, 0 to 3600; default 0."},
    {OPT_SECONDS, "seconds", 0, "N", "Play N whole seconds, 1 to 20; default 4."},
    {OPT_RECORDED, "recorded", 0, "FILE", "Divide out the recorded-through setup of FILE; default that of the files."},
    {OPT_SET, "set", 0, "SYMBOL=VALUE", "Change a control of every candidate; may be repeated."},
    CW_HEADING("What is asked"),
    {OPT_QUESTION, "question", 0, "prefer|brighter|nearer|differ", "What the listener decides; default prefer."},
    {OPT_REFERENCE, "reference", 0, "FILE",
     "With nearer: the candidate that the others are held against; needed then."},
    {OPT_TRIALS, "trials", 0, "N", "Trials, 4 to 62, rounded up to both orders of each pair; default 16."},
    CW_HEADING("What is written"),
    {OPT_OUTPUT, "output", 'o', "FILE",
     "The letter, an HTML file to mail; in a ZIP archive if its name ends in .zip; needed."},
    {OPT_KEY, "key", 0, "FILE", "The key, a text file that stays with you; needed."},
    {OPT_FORCE, "force", 'f', NULL, "Replace files that are there already."},
    {OPT_SEED, "seed", 0, "TEXT",
     "Draw from TEXT: the same letter again, for trials of this program; default the system's random source."},
    CW_JOURNAL_OPTION,
    CW_BECAUSE_OPTION,
};

static const struct cw_usage usage = {
    "blind",
    "FILE...",
    "Write a letter in which a listener far away chooses between candidates without knowing which is which,\n"
    "and the key to it. FILE is a preset, 2 to 8 candidates in all. The letter is one HTML file that plays in a\n"
    "browser with nothing beside it; the answers come back as a short code, for coilwright score.",
    options,
    sizeof options / sizeof options[0],
    "The plan is fixed in the key before the letter is sent, and the letter shows the key's SHA-256: reveal the\n"
    "key afterwards, and the listener can check it. Candidates are matched in level; each clip is dithered anew and\n"
    "as long as all others, each pair comes in both orders, and one pair holds the same thing twice.\n"
    "The question differ (ABX: which of two is X) names its clips and is the weakest test; whoever compares samples\n"
    "can solve it. In the others, who listens with an editor can sort the clips by sound and find the equal pair.\n"
    "Ask brighter or prefer where you can: they need far fewer trials.",
};

struct request {
    const char *output, *key, *reference, *seed;
    struct cw_excerpt excerpt;
    long channel, from, seconds, trials;
    enum cw_question question;
    bool force;
    struct cw_sources sources;
    struct cw_journal_request journal;
    char **names;
};

static bool take_question(struct cw_args *args, struct request *request)
{
    for (int i = 0; i < CW_QUESTIONS; i++) {
        if (strcmp(args->value, cw_question_word[i]) == 0) {
            request->question = (enum cw_question)i;
            return true;
        }
    }
    cw_bad_usage(&usage, "--question: expected prefer, brighter, nearer or differ, found '%s'", args->value);
    return false;
}

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_CHANNEL: return cw_args_count(args, 1, 1024, &request->channel);
    case OPT_DI: request->excerpt.path = args->value; return true;
    case OPT_FORCE: return request->force = true;
    case OPT_FROM: return cw_args_count(args, 0, 3600, &request->from);
    case OPT_KEY: request->key = args->value; return true;
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_QUESTION: return take_question(args, request);
    case OPT_RECORDED: request->sources.recorded = args->value; return true;
    case OPT_REFERENCE: request->reference = args->value; return true;
    case OPT_SECONDS: return cw_args_count(args, 1, 20, &request->seconds);
    case OPT_SEED: request->seed = args->value; return true;
    case OPT_SET:
        return cw_args_edit(args, &request->sources.edits, 1u << CW_G_BOOST_LIMIT | 1u << CW_G_UNDO_RECORDING);
    case OPT_TRIALS: return cw_args_count(args, CW_TRIALS_LEAST, CW_TRIALS_MOST, &request->trials);
    default: return cw_journal_take(args, id, &request->journal);
    }
}

static bool is_letter(const char *name)
{
    return cw_ends_in(name, ".html") || cw_ends_in(name, ".htm") || cw_ends_in(name, ".zip");
}

static bool sensible(const struct request *request, size_t operands)
{
    const char *trouble = !request->excerpt.path ? "expected a recording (--di FILE), found none"
                          : operands == 0        ? "expected candidates, found none"
                          : !request->output     ? "expected a letter to write (-o FILE), found none"
                          : !request->key        ? "expected a key to write (--key FILE), found none"
                          : strcmp(request->output, request->key) == 0
                              ? "expected two files, found one name for letter and key"
                          : !is_letter(request->output) ? "expected a letter whose name ends in .html, .htm or .zip"
                          : (request->question == CW_ASK_NEARER) != (request->reference != NULL)
                              ? "--reference and --question nearer belong together, found one without the other"
                              : NULL;
    if (trouble) {
        cw_bad_usage(&usage, "%s", trouble);
    }
    return !trouble;
}

static bool draw_seed(const char *text, unsigned char seed[CW_SEED_BYTES])
{
    if (text) {
        cw_sha256(text, strlen(text), seed);
        return true;
    }
    FILE *source = fopen("/dev/urandom", "rb");
    bool good = source && fread(seed, 1, CW_SEED_BYTES, source) == CW_SEED_BYTES;
    if (!good) {
        cw_error("the system's random source cannot be read: %s", strerror(errno));
    }
    if (source) {
        fclose(source);
    }
    return good;
}

/* A name in one line of the key. */
static void name_candidate(struct cw_key_candidate *candidate, const struct cw_sound *sound)
{
    snprintf(candidate->digest, sizeof candidate->digest, "%s", sound->digest);
    cw_show(sound->label, candidate->label, sizeof candidate->label);
}

/* Two of one name would leave open in the key, and in what is proved, which is meant. */
static void part_names(struct cw_key *key)
{
    bool again[CW_LETTER_CANDIDATES] = {false};
    for (int i = 0; i < key->letter.candidates; i++) {
        for (int k = 0; k < key->letter.candidates; k++) {
            again[i] = again[i] || (k != i && strcmp(key->candidate[i].label, key->candidate[k].label) == 0);
        }
    }
    for (int i = 0; i < key->letter.candidates; i++) {
        char name[CW_KEY_LABEL - sizeof ", candidate 8"];
        if (again[i]) {
            cw_text_fit(key->candidate[i].label, name, sizeof name);
            snprintf(key->candidate[i].label, CW_KEY_LABEL, "%s, candidate %d", name, i + 1);
        }
    }
}

static bool fill_key(struct cw_key *key, const struct cw_audition *audition, const char *recording,
                     struct cw_random *random)
{
    for (int i = 0; i < CW_SALT_WORDS; i++) {
        key->salt[i] = cw_random_word(random);
    }
    for (int i = 0; i < key->letter.candidates; i++) {
        name_candidate(&key->candidate[i], &audition->sound[i + 1]);
    }
    part_names(key);
    key->has_reference = key->letter.question == CW_ASK_NEARER;
    if (key->has_reference) {
        name_candidate(&key->reference, &audition->sound[audition->count - 1]);
    }
    return cw_digest_file(recording, key->recording);
}

/* The page, in an archive where the letter's name asks for one. */
static bool print_letter(FILE *stream, const struct request *request, const struct cw_letter_page *page)
{
    char *text = NULL;
    size_t size = 0;
    if (!cw_ends_in(request->output, ".zip")) {
        cw_letter_page_write(stream, page);
        return true;
    }
    FILE *memory = open_memstream(&text, &size);
    if (memory) {
        cw_letter_page_write(memory, page);
    }
    bool good = memory && fclose(memory) == 0;
    if (good) {
        cw_zip_print(stream, "letter.html", text, size);
    } else {
        cw_error_memory();
    }
    free(text);
    return good;
}

/* A letter whose key is not on the disk is worth nothing, whenever the program is killed. So both are written out
 * first; then a letter that was there before goes, the key gets its name, and the letter last. */
static bool put_both(const struct request *request, struct cw_output *letter, struct cw_output *secret)
{
    if (!cw_output_settle(letter) || !cw_output_settle(secret) || !cw_output_clear(letter)) {
        cw_output_abandon(secret);
        cw_output_abandon(letter);
        return false;
    }
    if (!cw_output_commit(secret)) {
        cw_output_abandon(letter);
        return false;
    }
    if (cw_output_commit(letter)) {
        return true;
    }
    if (!request->force) {
        remove(request->key); /* a key without its letter is of no use; with force it may be an older one's */
    }
    return false;
}

/* Of one run, whoever else writes the two at the same time. */
static bool publish_both(const struct request *request, struct cw_output *letter, struct cw_output *secret)
{
    int turn = cw_output_turn(request->output);
    bool good = put_both(request, letter, secret);
    if (turn >= 0) {
        close(turn);
    }
    return good;
}

/* Letter and key together, or neither. */
static bool write_both(const struct request *request, const struct cw_letter_page *page, const struct cw_key *key)
{
    struct cw_output letter, secret;
    if (!cw_output_open(&letter, request->output, request->force)) {
        return false;
    }
    if (!cw_output_open(&secret, request->key, request->force)) {
        cw_output_abandon(&letter);
        return false;
    }
    if (!print_letter(letter.stream, request, page)) {
        cw_output_abandon(&secret);
        cw_output_abandon(&letter);
        return false;
    }
    cw_key_print(secret.stream, key);
    return publish_both(request, &letter, &secret);
}

static void report(const struct request *request, const struct cw_letter *letter, size_t bytes)
{
    bool named = letter->question == CW_ASK_DIFFER;
    int trials = letter->count - !named;
    double level = named ? letter->level : letter->level / 2.0;
    printf("The letter, %.1f MB, to be sent: ", (double)bytes / 1e6);
    cw_print_shown(stdout, request->output);
    fputs("\nThe key, which stays with you until the answers are in: ", stdout);
    cw_print_shown(stdout, request->key);
    putchar('\n');
    printf("%s %d trials%s.\n", cw_question_text[letter->question], letter->count,
           named ? "" : ", one of them a hidden pair of equals");
    if (letter->candidates == 2) {
        printf("Of %d, %d alike prove a difference at %g %%. Who is right in 75 %% is found with a chance of %.0f %%;\n"
               "with 90 %% or more from %d trials on.\n",
               trials, cw_fewest_right(trials, 0.5, level), 100.0 * letter->level,
               100.0 * cw_power(trials, 0.75, 0.5, level), cw_trials_for_power(0.75, 0.5, level, 0.9));
    }
    if (named) {
        puts("This is the weakest test: ask brighter or prefer where you can.");
    }
    fputs("When the code comes back: coilwright score ", stdout);
    cw_print_word(stdout, request->key);
    puts(" CODE");
}

static bool note(const struct request *request, const struct cw_audition *audition, const struct cw_key *key)
{
    struct cw_entry entry;
    if (!cw_entry_begin(&entry, &request->journal, "blind")) {
        return false;
    }
    cw_entry_add(&entry, "letter", "%07x", (unsigned)key->letter.id);
    cw_entry_add(&entry, "question", "%s", cw_question_text[key->letter.question]);
    cw_entry_add(&entry, "plan", "%d trials, level of proof %g %%", key->letter.count, 100.0 * key->letter.level);
    cw_entry_add_file(&entry, "key", request->key);
    cw_entry_add_file(&entry, "recording", request->excerpt.path);
    for (size_t i = 1; i < audition->count; i++) {
        bool reference = key->has_reference && i + 1 == audition->count;
        cw_entry_add_setup(&entry, reference ? "reference" : "candidate", audition->sound[i].label,
                           &audition->sound[i].setup);
    }
    return cw_entry_finish(&entry, stdout);
}

/* Why there is no plan of a letter. */
static int misfit(const struct request *request, int candidates)
{
    const int most = request->question == CW_ASK_DIFFER ? 2 : CW_LETTER_CANDIDATES;
    if (candidates < 2 || candidates > most) {
        return cw_bad_usage(&usage, "expected %s candidates, found %d", most == 2 ? "two" : "2 to 8", candidates);
    }
    return cw_bad_usage(
        &usage, "expected at most %d trials, rounded up to both orders of each pair of candidates, found %ld of %d",
        CW_TRIALS_MOST, request->trials, candidates);
}

static int make_letter(struct request *request, struct cw_host *host, struct cw_audition *audition,
                       struct cw_letter_clips *clips)
{
    struct cw_key key = {0};
    struct cw_random random;
    unsigned char seed[CW_SEED_BYTES];
    int candidates = (int)audition->count - 1 - (request->question == CW_ASK_NEARER);
    if (!draw_seed(request->seed, seed)) {
        return CW_FAILED;
    }
    cw_random_start(&random, seed);
    if (!cw_letter_plan(&key.letter, request->question, candidates, (int)request->trials, 0.05, &random)) {
        return misfit(request, candidates);
    }
    struct cw_letter_page page = {.letter = &key.letter, .clips = clips};
    if (!fill_key(&key, audition, request->excerpt.path, &random) || !cw_key_digest(&key, page.commitment) ||
        !cw_letter_render(audition, host, &request->excerpt, &key.letter, &random, clips)) {
        return CW_FAILED;
    }
    page.rate = request->excerpt.rate;
    page.seconds = (double)request->excerpt.frames / request->excerpt.rate;
    if (!write_both(request, &page, &key)) {
        return CW_FAILED;
    }
    size_t bytes = 60000 + clips->count * (clips->clip[0].count * 4 / 3 + 80);
    report(request, &key.letter, bytes);
    return note(request, audition, &key) && cw_stdout_finish() ? CW_DONE : CW_FAILED;
}

static int run(struct request *request)
{
    struct cw_audition audition = {0};
    struct cw_letter_clips clips = {0};
    request->excerpt.channel = (int)request->channel;
    request->excerpt.from = (double)request->from;
    request->excerpt.seconds = (double)request->seconds;
    request->sources.file = request->names;
    if (request->reference) {
        request->names[request->sources.count++] = (char *)request->reference;
    }
    struct cw_host *host = cw_journal_ready(&request->journal) ? cw_host_open() : NULL;
    int status = host ? cw_audition_load(&audition, &request->sources) : CW_FAILED;
    status = status == CW_DONE ? make_letter(request, host, &audition, &clips) : status;
    cw_letter_clips_free(&clips);
    cw_audition_free(&audition);
    cw_host_close(host);
    return status;
}

const struct cw_usage *cw_usage_blind(void) { return &usage; }

int cw_cmd_blind(int argc, char **argv)
{
    struct request request = {.seconds = 4, .trials = 16};
    request.names = calloc((size_t)argc + 1, sizeof *request.names);
    if (!request.names) {
        cw_error_memory();
        return CW_FAILED;
    }
    int status = cw_args_read(&usage, argc, argv, take_option, &request, request.names, &request.sources.count);
    if (status < 0) {
        status = sensible(&request, request.sources.count) ? run(&request) : CW_BAD_USAGE;
    }
    free(request.names);
    cw_edits_free(&request.sources.edits);
    return status;
}
