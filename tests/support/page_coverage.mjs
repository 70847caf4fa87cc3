// SPDX-License-Identifier: ISC
// Which lines of the pages' scripts ran: kept while browsers are driven (see browser.mjs, CW_COVERAGE), told at the end.
//   node page_coverage.mjs FOLDER LEAST      each file of workshop/page and all together; status 1 under LEAST percent
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

// Begin to count in a session of the browser's. send(method, params) speaks to it.
export async function startCoverage(send) {
  await send('Debugger.enable');
  await send('Profiler.enable');
  await send('Profiler.startPreciseCoverage', { callCount: false, detailed: true });
}

// For each character of a source whether it ran: the innermost range that holds it says so.
function ranOf(source, functions) {
  const ran = new Uint8Array(source.length).fill(1);
  const ranges = functions.flatMap(f => f.ranges).sort((a, b) => b.endOffset - b.startOffset - (a.endOffset - a.startOffset));
  for (const { startOffset, endOffset, count } of ranges) ran.fill(count > 0 ? 1 : 0, startOffset, endOffset);
  return ran;
}

// Put what a session saw of the page's own scripts into a folder.
export async function keepCoverage(send, folder) {
  const { result } = await send('Profiler.takePreciseCoverage');
  mkdirSync(folder, { recursive: true });
  for (const { scriptId, url, functions } of result) {
    if (!url.startsWith('file:') && !url.startsWith('data:text/javascript')) continue;
    const { scriptSource } = await send('Debugger.getScriptSource', { scriptId });
    const name = createHash('sha256').update(scriptSource).update(String(process.hrtime.bigint())).digest('hex').slice(0, 16);
    writeFileSync(join(folder, `${name}.json`), JSON.stringify({ source: scriptSource, ran: Buffer.from(ranOf(scriptSource, functions)).toString('base64') }));
  }
}

// Lines of code that ran, of all lines of code, in one file of the pages: those whose beginning did.
function linesOf(text, seen) {
  const ran = new Uint8Array(text.length);
  for (const { source, ran: there } of seen) {
    const at = source.indexOf(text);
    if (at >= 0) for (let i = 0; i < text.length; i++) ran[i] |= there[at + i];
  }
  const missed = [];
  let at = 0, lines = 0;
  text.split('\n').forEach((line, i) => {
    const code = line.trim();
    if (code && !code.startsWith('//') && !/^[\]})';,]*$/.test(code)) {
      lines++;
      if (!ran[at + line.indexOf(code[0])]) missed.push(i + 1);
    }
    at += line.length + 1;
  });
  return { lines, missed };
}

function tell(folder, least) {
  const seen = readdirSync(folder).map(name => JSON.parse(readFileSync(join(folder, name), 'utf8'))).map(({ source, ran }) => ({ source, ran: Buffer.from(ran, 'base64') }));
  let all = 0, lost = 0;
  for (const name of readdirSync('workshop/page').filter(name => name.endsWith('.js')).sort()) {
    const { lines, missed } = linesOf(readFileSync(`workshop/page/${name}`, 'utf8'), seen);
    all += lines;
    lost += missed.length;
    console.log(`${name}: ${(100 * (1 - missed.length / lines)).toFixed(1)} % of ${lines} lines${missed.length ? `; not: ${missed.join(' ')}` : ''}`);
  }
  const share = 100 * (1 - lost / all);
  console.log(`all: ${share.toFixed(1)} % of ${all} lines`);
  return share >= least ? 0 : 1;
}

if (process.argv[1] === fileURLToPath(import.meta.url)) process.exit(tell(process.argv[2], Number(process.argv[3])));
