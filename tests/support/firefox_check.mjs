// SPDX-License-Identifier: ISC
// The pages in Firefox, driven by WebDriver BiDi (W3C); needs node --experimental-websocket below 22.
//   node firefox_check.mjs DIRECTORY NATIVE      with the pages sine, pink and demo; NATIVE as for elsewhere.mjs
// Ends with 'N passed, N failed'.
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { listening, live } from './elsewhere.mjs';

const [here, native] = process.argv.slice(2), profile = mkdtempSync(join(tmpdir(), 'coilwright-firefox-'));
let passed = 0, failed = 0;
function check(what, good) {
  if (good) passed++;
  else { failed++; console.log(`FAIL: ${what}`); }
}

const firefox = spawn('firefox-esr', ['--headless', '--no-remote', '--profile', profile, '--remote-debugging-port', '0', 'about:blank'],
  { stdio: ['ignore', 'ignore', 'pipe'], env: { ...process.env, HOME: profile } });
const address = await new Promise(resolve => {
  let said = '';
  firefox.stderr.on('data', text => {
    said += text;
    const found = /listening on (ws:\/\/\S+)/.exec(said);
    if (found) resolve(found[1]);
  });
});
const socket = new WebSocket(`${address}/session`);
await new Promise(resolve => { socket.onopen = resolve; });
const waiting = new Map();
let next = 0;
socket.onmessage = message => {
  const answer = JSON.parse(message.data);
  waiting.get(answer.id)?.(answer);
  waiting.delete(answer.id);
};
const send = (method, params = {}) => new Promise(resolve => {
  const id = ++next;
  waiting.set(id, resolve);
  socket.send(JSON.stringify({ id, method, params }));
});
await send('session.new', { capabilities: {} });
const { context } = (await send('browsingContext.getTree')).result.contexts[0];
async function run(expression) {
  const { result } = await send('script.evaluate', { expression, target: { context }, awaitPromise: true, userActivation: true });
  if (result?.type !== 'success') throw new Error(JSON.stringify(result));
  return result.result.value;
}

try {
  const open = url => send('browsingContext.navigate', { context, url, wait: 'complete' });
  await live('Firefox', { open, run }, here, native, check);
  await listening('Firefox', { open, run }, here, check);
  const keys = [' ', '1'].flatMap(value => [{ type: 'keyDown', value }, { type: 'keyUp', value }]);
  await send('input.performActions', { context, actions: [{ type: 'key', id: 'keys', actions: keys }] });
  await new Promise(resolve => setTimeout(resolve, 3500));
  check('plays by keyboard, or says that there is no sound output',
        await run('(page.playing && page.engine.position() > 0) || /no sound output/.test(document.getElementById("say").textContent)'));
  check('the key chose', await run('page.heard') === 1);
} catch (error) {
  check(error.stack, false);
} finally {
  firefox.kill();
  await new Promise(resolve => setTimeout(resolve, 500));
  rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
