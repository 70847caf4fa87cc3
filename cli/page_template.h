/* SPDX-License-Identifier: ISC */
/** \file page_template.h
 * What all pages share: filling in a template, and the policy that lets only the page's own style and script act.
 */
#ifndef CW_PAGE_TEMPLATE_H
#define CW_PAGE_TEMPLATE_H

#include <stddef.h>
#include <stdio.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Prints what stands for {{name}}; nothing for a name that it does not know. \p name does not end in a zero. */
typedef void cw_field_printer(FILE *stream, const char *name, size_t length, const void *data);

/** Print a template with every {{name}} filled in. What is filled in is not looked at again. */
void cw_template_print(FILE *stream, const unsigned char *text, cw_field_printer *print, const void *data);

/** Print the content of a Content-Security-Policy (Level 3, W3C): nothing from anywhere, pictures and sound as
 * data: in the page itself, and one style and one script by their digests.
 * \param more what else may run, as sources of script-src with a blank in front; "" for nothing */
void cw_policy_print(FILE *stream, const unsigned char *style, const unsigned char *script, const char *more);

#ifdef __cplusplus
}
#endif
#endif
