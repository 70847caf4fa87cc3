/* SPDX-License-Identifier: ISC */
#include "blind_page.h"

#include <inttypes.h>
#include <string.h>

#include "bytes.h"
#include "page_template.h"
#include "page_texts.h"

static void policy(FILE *stream, const struct cw_letter_page *page)
{
    (void)page;
    cw_policy_print(stream, cw_letter_css, cw_letter_js, "");
}

static void question(FILE *stream, const struct cw_letter_page *page)
{
    fputs(cw_question_text[page->letter->question], stream);
}

static void style(FILE *stream, const struct cw_letter_page *page)
{
    (void)page;
    fputs((const char *)cw_letter_css, stream);
}

static void script(FILE *stream, const struct cw_letter_page *page)
{
    (void)page;
    fputs((const char *)cw_letter_js, stream);
}

static void summary(FILE *stream, const struct cw_letter_page *page)
{
    fprintf(stream, "%d times %s of %.1f s each, matched in level. ", page->letter->count,
            page->letter->question == CW_ASK_DIFFER ? "A, B and X" : "two clips without names", page->seconds);
    fputs("There is no right or wrong to be ashamed of: answer as you hear, and guess where you hear nothing.", stream);
}

/* What a clip is called where no script runs. */
static void print_clip_name(FILE *stream, const struct cw_letter_page *page, size_t index)
{
    size_t trials = (size_t)page->letter->count;
    if (page->letter->question == CW_ASK_DIFFER) {
        if (index < trials) {
            fprintf(stream, "X %zu", index + 1);
        } else {
            fputs(index == trials ? "A" : "B", stream);
        }
    } else if (index < 2 * trials) {
        fprintf(stream, "Pair %zu, clip %zu", index / 2 + 1, index % 2 + 1);
    } else {
        fputs("Reference", stream);
    }
}

static void clips(FILE *stream, const struct cw_letter_page *page)
{
    for (size_t i = 0; i < page->clips->count; i++) {
        fputs("<p>", stream);
        print_clip_name(stream, page, i);
        fputs("<br><audio controls preload=\"none\" src=\"data:audio/flac;base64,", stream);
        cw_base64_print(stream, page->clips->clip[i].data, page->clips->clip[i].count);
        fputs("\"></audio></p>\n", stream);
    }
}

static void fairness(FILE *stream, const struct cw_letter_page *page)
{
    if (page->letter->question == CW_ASK_DIFFER) {
        fputs(
            "<p>A and B have names here, so whoever compares the samples of X with theirs can find the answer: this is "
            "a test for who wants to know himself. It is also the weakest of tests: a small difference takes hundreds "
            "of trials. Which of the two X is was drawn for each by itself.</p>\n",
            stream);
        return;
    }
    fputs("<p>Nothing in this page tells which clip is which, but the sound itself. The order was drawn, each pair "
          "comes in "
          "both orders, and one pair holds the same thing twice. Whoever looks at the clips in an editor can sort them "
          "by "
          "sound and find that pair: please only listen.</p>\n",
          stream);
}

/* One for each thing that is heard in turn. */
static void keys(FILE *stream, const struct cw_letter_page *page)
{
    for (int i = 1; i <= page->clips->voices; i++) {
        fprintf(stream, "%s<kbd>%d</kbd>", i > 1 ? " " : "", i);
    }
}

static void commitment(FILE *stream, const struct cw_letter_page *page) { fputs(page->commitment, stream); }

static void print_names(FILE *stream, enum cw_question asked)
{
    fputs(asked == CW_ASK_DIFFER   ? "\"names\":[\"A\",\"B\",\"X\"],\"choices\":[\"X is A\",\"X is B\"]"
          : asked == CW_ASK_NEARER ? "\"names\":[\"First\",\"Second\",\"Reference\"],\"choices\":[\"The first\",\"The "
                                     "second\"]"
                                   : "\"names\":[\"First\",\"Second\"],\"choices\":[\"The first\",\"The second\"]",
          stream);
}

static void data(FILE *stream, const struct cw_letter_page *page)
{
    fprintf(stream, "{\"id\":%" PRIu32 ",\"rate\":%d,", page->letter->id, page->rate);
    print_names(stream, page->letter->question);
    fputs(",\"trials\":[", stream);
    for (int i = 0; i < page->letter->count; i++) {
        fputs(i ? ",[" : "[", stream);
        for (int k = 0; k < page->clips->voices; k++) {
            fprintf(stream, "%s%d", k ? "," : "", page->clips->trial[i][k]);
        }
        fputc(']', stream);
    }
    fputs("]}", stream);
}

static const struct {
    const char *name;
    void (*print)(FILE *stream, const struct cw_letter_page *page);
} fields[] = {
    {"policy", policy}, {"question", question}, {"style", style},           {"script", script}, {"summary", summary},
    {"clips", clips},   {"fairness", fairness}, {"commitment", commitment}, {"data", data},     {"keys", keys},
};

static void print_field(FILE *stream, const char *name, size_t length, const void *page)
{
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        if (strlen(fields[i].name) == length && strncmp(fields[i].name, name, length) == 0) {
            fields[i].print(stream, page);
        }
    }
}

void cw_letter_page_write(FILE *stream, const struct cw_letter_page *page)
{
    cw_template_print(stream, cw_letter_html, print_field, page);
}
