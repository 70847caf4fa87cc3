// SPDX-License-Identifier: ISC
// The listening page in Firefox, driven by WebDriver BiDi (W3C); needs node --experimental-websocket below 22.
//   node firefox_check.mjs DIRECTORY      with the pages sine and pink
// Ends with 'N passed, N failed'.
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fromBase64, samples, worstBend, worstError } from './sound.mjs';

const here = process.argv[2], profile = mkdtempSync(join(tmpdir(), 'coilwright-firefox-'));
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

// Runs in the page. An offline graph cannot be stopped here: the steps are all planned before it runs, on a
// clock that is put forward by hand.
async function capture(steps, seconds) {
  const rate = page.clips[0].sampleRate, offline = new OfflineAudioContext(1, Math.round(seconds * rate), rate);
  const engine = new Engine(offline, page.clips), clock = { now: 0 };
  engine.volume.gain.value = 1;
  engine.context = { get currentTime() { return clock.now; }, createGain: () => offline.createGain(), createBufferSource: () => offline.createBufferSource() };
  for (const [at, act] of steps) {
    clock.now = Math.round(at * rate / 128) * 128 / rate;
    act(engine);
  }
  const bytes = new Uint8Array((await offline.startRendering()).getChannelData(0).buffer);
  let text = '';
  for (let i = 0; i < bytes.length; i += 32768) text += String.fromCharCode(...bytes.subarray(i, i + 32768));
  return btoa(text);
}

try {
  for (const name of ['sine', 'pink']) {
    await send('browsingContext.navigate', { context, url: `file://${here}/${name}/index.html`, wait: 'complete' });
    for (let i = 0; i < 200 && await run('!!page.clips') !== true; i++) await new Promise(resolve => setTimeout(resolve, 50));
    const steps = ['[0, e => { e.heard = 2; e.play(); }]'];
    for (let i = 0; i < 20; i++) steps.push(`[${0.213 + 0.487 * i}, e => e.hear(${1 + i % 2})]`);
    const sound = fromBase64(await run(`(${capture})([${steps}], 10.5)`));
    const expected = samples(`${here}/${name}/true-level/01-same.wav`);
    const error = 32768 * worstError(sound, expected, 3840, sound.length), bend = worstBend(sound, 3840, sound.length);
    console.log(`Firefox, ${name}: ${error.toFixed(2)} steps of 16 bits off, second difference at most ${bend.toFixed(3)} times its median`);
    check(`${name}: 20 switches and 10 loops keep to the sample`, error <= 2.01);
    check(`${name}: no click`, bend <= 1.5);
  }
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
