/* SPDX-License-Identifier: ISC */
/** \file plugin_uri.h
 * What the plugin, its window and their presets are called by: permanent, as saved sessions hold it.
 */
#ifndef CW_PLUGIN_URI_H
#define CW_PLUGIN_URI_H

#define CW_PLUGIN_URI "urn:coilwright:voicing"
#define CW_WINDOW_URI CW_PLUGIN_URI "#ui"

#endif
