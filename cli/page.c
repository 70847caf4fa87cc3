/* SPDX-License-Identifier: ISC */
/* The audition's page: plain HTML that works without a script, and a player on top where there is
 * one. Nothing is fetched: the audio elements load the files beside the page, so that it works
 * from a disk. */
#include <math.h>
#include <string.h>

#include "audition.h"

static const char style[] =
    ":root{--paper:#f6f4ef;--card:#fffefb;--ink:#23282b;--soft:#687177;--line:#dcd8ce;--mark:#0d6b63;--on:#fff}\n"
    "@media (prefers-color-scheme:dark){:root{--paper:#1a1e20;--card:#22272a;--ink:#e6e4de;--soft:#9aa4a9;"
    "--line:#394146;--mark:#56b9ac;--on:#10201e}}\n"
    "*{box-sizing:border-box}\n"
    "body{margin:0 auto;max-width:70rem;padding:1.5rem 1rem 4rem;background:var(--paper);color:var(--ink);"
    "font:16px/1.5 system-ui,sans-serif}\n"
    "h1{font-size:1.5rem;font-weight:600;margin:0 0 .25rem}h2{font-size:1.1rem;font-weight:600;margin:2rem 0 .5rem}\n"
    "p{margin:.4rem 0}.soft{color:var(--soft);font-size:.92rem}\n"
    ".caution{border-left:4px solid #c9871f;padding:.4rem .8rem;background:var(--card);margin:1rem 0}\n"
    "#player{display:none;position:sticky;top:0;background:var(--card);border:1px solid var(--line);"
    "border-radius:10px;padding:1rem;z-index:1}\n"
    ".js #player{display:block}.js #plain{display:none}\n"
    ".row{display:flex;flex-wrap:wrap;gap:.5rem;align-items:center;margin:.35rem 0}\n"
    "button{font:inherit;color:inherit;background:transparent;border:1px solid var(--line);border-radius:7px;"
    "padding:.35rem .7rem;cursor:pointer;text-align:left}\n"
    "button:hover{border-color:var(--mark)}\n"
    "button:focus-visible,input:focus-visible{outline:3px solid var(--mark);outline-offset:2px}\n"
    "button[aria-pressed=true]{background:var(--mark);border-color:var(--mark);color:var(--on)}\n"
    "#play{min-width:6.5rem;text-align:center;font-weight:600}\n"
    "#seek{flex:1;min-width:12rem;accent-color:var(--mark)}#time{font-variant-numeric:tabular-nums}\n"
    "#voices{max-height:13rem;overflow-y:auto}\n"
    "kbd{font:inherit;font-size:.8em;border:1px solid currentColor;border-radius:4px;padding:0 .3em;opacity:.7;"
    "margin-right:.4em}\n"
    "#say{min-height:3em}\n"
    ".pair{background:var(--card);border:1px solid var(--line);border-radius:10px;padding:.6rem 1rem;margin:.6rem 0}\n"
    "img{display:block;width:100%;height:auto;background:#fff;border:1px solid var(--line);border-radius:10px}\n"
    ".scroll{overflow-x:auto}table{border-collapse:collapse;font-size:.9rem;font-variant-numeric:tabular-nums}\n"
    "th,td{padding:.3rem .6rem;border-bottom:1px solid var(--line);text-align:right;white-space:nowrap}\n"
    "th:first-child,td:first-child{text-align:left}th{font-weight:600;vertical-align:bottom}\n"
    "audio{height:2rem;max-width:100%}dl{display:grid;grid-template-columns:max-content 1fr;gap:.2rem "
    "1rem}dd{margin:0}\n"
    "a{color:var(--mark)}#volume{accent-color:var(--mark)}\n"
    "@media (max-width:44rem){#player{position:static}#voices{max-height:none}}\n";

/* All players of the set run together and only one is heard, so that a switch is instant; the silent
 * ones are kept in step with it by running a little faster or slower. Many players are too much for a browser: then
 * only the last few used keep running. */
static const char script[] =
    "'use strict';\n"
    "document.documentElement.className = 'js';\n"
    "const LIVE = 16, players = sounds.map(() => null), order = [];\n"
    "let now = 0, last = 0, matched = true, loop = true, playing = false, volume = 0.5;\n"
    "const $ = id => document.getElementById(id);\n"
    "function heard(i) { return i === now ? volume * safe * (matched ? sounds[i].v : 1) : 0; }\n"
    "function player(i) {\n"
    "  let at = order.indexOf(i);\n"
    "  if (at >= 0) order.splice(at, 1);\n"
    "  order.unshift(i);\n"
    "  if (!players[i]) {\n"
    "    const a = players[i] = new Audio();\n"
    "    a.preload = 'auto'; a.preservesPitch = false; a.src = sounds[i].f; a.volume = 0;\n"
    "    a.addEventListener('error', () => { $('say').textContent = 'Cannot play ' + sounds[i].f; });\n"
    "    a.addEventListener('loadedmetadata', () => { if (i === now) show(); });\n"
    "  }\n"
    "  while (order.length > LIVE) { const old = order.pop(); players[old].pause(); "
    "players[old].removeAttribute('src');\n"
    "    players[old].load(); players[old] = null; }\n"
    "  return players[i];\n"
    "}\n"
    "function levels() { players.forEach((a, i) => { if (a) a.volume = heard(i); }); }\n"
    "function each(f) { players.forEach((a, i) => { if (a) f(a, i); }); }\n"
    "function go(a) { const p = a.play(); if (p) p.catch(() => {}); }\n"
    "function seek(t) { each(a => { a.currentTime = t; }); show(); }\n"
    "function play() { const t = player(now).currentTime; playing = true; levels();\n"
    "  each((a, i) => { if (i !== now && Math.abs(a.currentTime - t) > 0.005) a.currentTime = t; go(a); }); show(); }\n"
    "function pause() { playing = false; const t = player(now).currentTime; each(a => { a.pause(); });\n"
    "  each(a => { a.currentTime = t; }); show(); }\n"
    "function select(i) {\n"
    "  if (i < 0 || i >= sounds.length || i === now) return;\n"
    "  const before = players[now], t = before ? before.currentTime : 0, fresh = !players[i], a = player(i);\n"
    "  const change = () => { last = now; now = i; a.playbackRate = 1; levels(); show(); };\n"
    "  if (fresh || !playing) a.currentTime = t;\n"
    "  if (fresh && playing) { a.addEventListener('playing', () => { if (before) a.currentTime = before.currentTime;\n"
    "    change(); }, { once: true }); go(a); } else change();\n"
    "}\n"
    "function match(on) { matched = on; levels(); show(); }\n"
    "function clock(s) { s = s || 0; return Math.floor(s / 60) + ':' + (s % 60).toFixed(1).padStart(4, '0'); }\n"
    "function show() {\n"
    "  const a = player(now), d = isFinite(a.duration) ? a.duration : 0;\n"
    "  $('play').textContent = playing ? 'Pause' : 'Play'; $('play').setAttribute('aria-pressed', playing);\n"
    "  $('seek').max = d || 1; $('seek').value = a.currentTime; $('time').textContent = clock(a.currentTime) + ' / ' + "
    "clock(d);\n"
    "  document.querySelectorAll('[data-sound]').forEach(b => b.setAttribute('aria-pressed', +b.dataset.sound === "
    "now));\n"
    "  $('matched').setAttribute('aria-pressed', matched); $('true').setAttribute('aria-pressed', !matched);\n"
    "  $('loop').setAttribute('aria-pressed', loop);\n"
    "  $('say').textContent = sounds[now].c || '';\n"
    "}\n"
    "function follow(b, late) {\n"
    "  if (Math.abs(late) > 0.3) b.currentTime += late;\n"
    "  else b.playbackRate = Math.abs(late) < 0.002 ? 1 : 1 + Math.max(-0.2, Math.min(0.2, 2.5 * late));\n"
    "}\n"
    "function tick() {\n"
    "  if (!playing) return;\n"
    "  const a = player(now), t = a.currentTime;\n"
    "  if (a.ended) { if (loop) { each(b => { b.currentTime = 0; go(b); }); } else { playing = false; } show(); "
    "return; }\n"
    "  each((b, i) => { if (i !== now && !b.seeking && !b.ended) follow(b, t - b.currentTime); });\n"
    "  $('seek').value = t; $('time').textContent = clock(t) + ' / ' + clock(a.duration);\n"
    "}\n"
    "sounds.forEach((s, i) => { const b = document.createElement('button'); b.dataset.sound = i;\n"
    "  if (i < 10) { const k = document.createElement('kbd'); k.textContent = i; b.append(k); }\n"
    "  b.append(s.n); $('voices').append(b); });\n"
    "document.addEventListener('click', e => { const b = e.target.closest('[data-sound]'); if (b) "
    "select(+b.dataset.sound); });\n"
    "$('play').onclick = () => playing ? pause() : play();\n"
    "$('matched').onclick = () => match(true); $('true').onclick = () => match(false);\n"
    "$('loop').onclick = () => { loop = !loop; show(); };\n"
    "$('seek').oninput = e => seek(+e.target.value);\n"
    "$('volume').oninput = e => { volume = +e.target.value; levels(); };\n"
    "document.addEventListener('keydown', e => {\n"
    "  if (e.ctrlKey || e.altKey || e.metaKey) return;\n"
    "  const a = player(now), n = sounds.length, k = e.key;\n"
    "  const range = e.target.tagName === 'INPUT';\n"
    "  if (k === ' ') { playing ? pause() : play(); }\n"
    "  else if (k >= '0' && k <= '9') select(+k);\n"
    "  else if (k === 'x' || k === 'X') select(last);\n"
    "  else if (k === 'm' || k === 'M') match(!matched);\n"
    "  else if (k === 'l' || k === 'L') { loop = !loop; show(); }\n"
    "  else if (!range && k === 'ArrowDown') select((now + 1) % n);\n"
    "  else if (!range && k === 'ArrowUp') select((now + n - 1) % n);\n"
    "  else if (!range && k === 'ArrowLeft') seek(Math.max(0, a.currentTime - 2));\n"
    "  else if (!range && k === 'ArrowRight') seek(Math.min(a.duration || 0, a.currentTime + 2));\n"
    "  else return;\n"
    "  e.preventDefault();\n"
    "});\n"
    "sounds.forEach((s, i) => { if (i < LIVE) player(Math.min(LIVE, sounds.length) - 1 - i); });\n"
    "now = sounds.length > 1 ? 1 : 0; levels(); show(); setInterval(tick, 100);\n";

static void print_html(FILE *stream, const char *text)
{
    for (; *text; text++) {
        switch (*text) {
        case '<': fputs("&lt;", stream); break;
        case '>': fputs("&gt;", stream); break;
        case '&': fputs("&amp;", stream); break;
        case '"': fputs("&quot;", stream); break;
        default: fputc(*text, stream);
        }
    }
}

/* A string inside a script: '<' is escaped too, so that no text can end the script. */
static void print_string(FILE *stream, const char *text)
{
    fputc('"', stream);
    for (; *text; text++) {
        unsigned char c = (unsigned char)*text;
        if (c == '"' || c == '\\') {
            fprintf(stream, "\\%c", c);
        } else if (c < 0x20 || c == '<' || c == 0x7f) {
            fprintf(stream, "\\u%04x", c);
        } else {
            fputc(c, stream);
        }
    }
    fputc('"', stream);
}

static void print_db(FILE *stream, double value)
{
    if (isfinite(value)) {
        fprintf(stream, "<td>%.1f</td>", value == 0.0 ? 0.0 : value); /* no "-0.0" */
    } else {
        fputs("<td>silent</td>", stream);
    }
}

/* Peaks of float files may pass full scale; a player must not. */
static double safe_volume(const struct cw_audition *audition)
{
    double peak = 0.0;
    for (size_t i = 0; i < audition->count; i++) {
        peak = fmax(peak, cw_from_db(audition->sound[i].levels.sample_peak + audition->true_lowered));
    }
    return peak > 1.0 ? 1.0 / peak : 1.0;
}

static void print_data(FILE *stream, const struct cw_audition *audition)
{
    fprintf(stream, "const safe = %.6f;\nconst sounds = [\n", safe_volume(audition));
    for (size_t i = 0; i < audition->count; i++) {
        const struct cw_sound *sound = &audition->sound[i];
        fputs("{n:", stream);
        print_string(stream, sound->label);
        fprintf(stream, ",f:\"" CW_DIR_TRUE "/%s.wav\",v:%.6f,c:", sound->name, cw_from_db(sound->matched_gain));
        print_string(stream, sound->comment ? sound->comment : "");
        fputs("},\n", stream);
    }
    fputs("];\n", stream);
}

static void print_player(FILE *stream)
{
    fputs("<section id=\"player\" aria-label=\"Player\">\n"
          "<div class=\"row\"><button id=\"play\">Play</button>"
          "<input id=\"seek\" type=\"range\" min=\"0\" max=\"1\" step=\"0.01\" value=\"0\" aria-label=\"Position\">"
          "<span id=\"time\"></span><button id=\"loop\">Loop</button></div>\n"
          "<div class=\"row\"><button id=\"matched\">Level matched</button><button id=\"true\">True level</button>"
          "<label class=\"soft\">Volume <input id=\"volume\" type=\"range\" min=\"0\" max=\"1\" step=\"0.01\" "
          "value=\"0.5\">"
          "</label></div>\n"
          "<div class=\"row\" id=\"voices\"></div>\n"
          "<p id=\"say\" class=\"soft\" aria-live=\"polite\"></p>\n"
          "<p class=\"soft\">Keys: <kbd>space</kbd>play or pause <kbd>0</kbd>as recorded <kbd>1</kbd>to <kbd>9</kbd>"
          "candidates <kbd>X</kbd>back to the one before <kbd>↑</kbd><kbd>↓</kbd>along the list "
          "<kbd>←</kbd><kbd>→</kbd>two seconds "
          "<kbd>M</kbd>level matched or true <kbd>L</kbd>loop</p>\n"
          "</section>\n",
          stream);
}

static void print_plain_list(FILE *stream, const struct cw_audition *audition)
{
    fputs("<section id=\"plain\">\n<h2>Listen</h2>\n", stream);
    for (size_t i = 0; i < audition->count; i++) {
        const struct cw_sound *sound = &audition->sound[i];
        fputs("<p><strong>", stream);
        print_html(stream, sound->label);
        fputs("</strong> ", stream);
        print_html(stream, sound->comment ? sound->comment : "");
        fprintf(stream,
                "<br>level matched <audio controls preload=\"none\" src=\"" CW_DIR_MATCHED "/%s.wav\"></audio> "
                "true level <audio controls preload=\"none\" src=\"" CW_DIR_TRUE "/%s.wav\"></audio></p>\n",
                sound->name, sound->name);
    }
    fputs("</section>\n", stream);
}

static void print_pairs(FILE *stream, const struct cw_audition *audition)
{
    if (audition->pairs) {
        fputs("<h2>Comparisons</h2>\n", stream);
    }
    for (size_t i = 0; i < audition->pairs; i++) {
        const struct cw_pair *pair = &audition->pair[i];
        fputs("<div class=\"pair\"><strong>", stream);
        print_html(stream, pair->label);
        fputs("</strong>\n<p class=\"soft\">", stream);
        print_html(stream, pair->comment ? pair->comment : "");
        fputs("</p>\n<div class=\"row\">", stream);
        const size_t side[2] = {pair->a, pair->b};
        for (int k = 0; k < 2; k++) {
            fprintf(stream, "<button data-sound=\"%zu\">%c: ", side[k], 'A' + k);
            print_html(stream, audition->sound[side[k]].label);
            fputs("</button>", stream);
        }
        fprintf(stream,
                "</div>\n<details><summary class=\"soft\">Response</summary>"
                "<img loading=\"lazy\" src=\"" CW_DIR_PLOTS
                "/comparison-%02zu.svg\" alt=\"Level against frequency of the "
                "two candidates\"></details></div>\n",
                i + 1);
    }
}

static void print_row(FILE *stream, const struct cw_audition *audition, const struct cw_sound *sound)
{
    const double *figure = sound->figures.value;
    fputs("<tr><td>", stream);
    print_html(stream, sound->label);
    fputs("</td>", stream);
    print_db(stream, sound->levels.loudness);
    print_db(stream, sound->levels.true_peak);
    print_db(stream, sound->matched_gain + audition->matched_lowered);
    if (!sound->has_figures) {
        fputs("<td></td><td></td><td></td><td></td><td></td><td></td></tr>\n", stream);
        return;
    }
    if (figure[CW_M_RESONANCE] > 0.0) {
        fprintf(stream, "<td>%.0f</td><td>%.1f</td>", figure[CW_M_RESONANCE], figure[CW_M_PEAK]);
    } else {
        fputs("<td>none</td><td></td>", stream);
    }
    fprintf(stream, "<td>%.2f</td><td>%.2f</td><td>%.1f</td>", figure[CW_M_DC_RESISTANCE], figure[CW_M_LEAD_INDUCTANCE],
            figure[CW_M_LEVEL]);
    if (figure[CW_M_HUM] > cw_meter_info[CW_M_HUM].minimum) {
        fprintf(stream, "<td>%.1f</td></tr>\n", figure[CW_M_HUM]);
    } else {
        fputs("<td>none</td></tr>\n", stream);
    }
}

static void print_table(FILE *stream, const struct cw_audition *audition)
{
    fputs("<h2>Figures</h2>\n<div class=\"scroll\"><table>\n<tr><th></th><th>loudness<br>LUFS</th>"
          "<th>true peak<br>dBTP</th><th>match<br>dB</th><th>resonance<br>Hz</th><th>peak<br>dB</th>"
          "<th>DC resistance<br>kΩ</th><th>inductance<br>H</th><th>level, split<br>dB</th><th>hum<br>dB</th></tr>\n",
          stream);
    for (size_t i = 0; i < audition->count; i++) {
        print_row(stream, audition, &audition->sound[i]);
    }
    fputs(
        "</table></div>\n"
        "<p class=\"soft\">Loudness by ITU-R BS.1770. Match: what the level-matched copy is lowered by. Resonance and "
        "peak: of the candidate itself, loaded by controls, cable and input. Level: against the same setup unsplit. "
        "Hum: "
        "against one coil alone. The same and more in <a href=\"results.csv\">results.csv</a>; each candidate's "
        "settings, "
        "ready for a host, in <a href=\"" CW_DIR_SETTINGS "/\">" CW_DIR_SETTINGS "</a>.</p>\n",
        stream);
}

static void print_notes(FILE *stream, const struct cw_audition *audition)
{
    fputs("<p class=\"soft\">", stream);
    if (audition->has_recorded) {
        fputs("Divided out of the recording: ", stream);
        print_html(stream, audition->recorded_label);
        fputs(". ", stream);
    } else {
        fputs("Nothing was divided out of the recording: each candidate is heard on top of the pickup that it was "
              "recorded with. ",
              stream);
    }
    fputs(audition->by_loudness
              ? "Levels are matched by measured loudness, to the quietest: nothing is raised. "
              : "Levels are matched by plain mean power, to the quietest, because the recording is too short or too "
                "quiet for a loudness measurement (0.4 s, -70 LUFS). ",
          stream);
    if (audition->true_lowered < 0.0) {
        fprintf(stream, "All true-level files are lowered alike by %.1f dB so that none clips. ",
                -audition->true_lowered);
    }
    if (audition->matched_lowered < 0.0) {
        fprintf(stream, "All level-matched files are lowered alike by %.1f dB so that none clips. ",
                -audition->matched_lowered);
    }
    fputs("</p>\n", stream);
}

void cw_page_write(FILE *stream, const struct cw_audition *audition)
{
    fputs("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
          "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>Audition: ",
          stream);
    print_html(stream, audition->title);
    fprintf(stream, "</title>\n<style>\n%s</style>\n</head>\n<body>\n<h1>Audition: ", style);
    print_html(stream, audition->title);
    fprintf(stream, "</h1>\n<p class=\"soft\">%.1f s at %d Hz, as recorded and through %zu candidate%s.</p>\n",
            (double)audition->frames / audition->rate, audition->rate, audition->count - 1,
            audition->count == 2 ? "" : "s");
    fputs("<p class=\"caution\"><strong>Begin with the volume low.</strong> Level-matched copies are quiet; true level "
          "may "
          "jump by 20 dB from one candidate to the next. Loud sound harms hearing.</p>\n",
          stream);
    print_player(stream);
    print_plain_list(stream, audition);
    print_pairs(stream, audition);
    fputs("<h2>Response</h2>\n<a href=\"response.svg\"><img src=\"response.svg\" alt=\"Level against frequency of all "
          "candidates\"></a>\n",
          stream);
    print_table(stream, audition);
    print_notes(stream, audition);
    fputs("<script>\n", stream);
    print_data(stream, audition);
    fprintf(stream, "%s</script>\n</body>\n</html>\n", script);
}
