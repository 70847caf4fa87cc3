// SPDX-License-Identifier: ISC
// What is asked of the pages in every engine but the one that make check drives. A driver gives open(address) and
// run(expression, in the page, awaited).
import { createHash } from 'node:crypto';
import { spawnSync } from 'node:child_process';
import { fromBase64, samples, worstBend, worstError } from './sound.mjs';

// Runs in the page. An offline graph cannot be stopped everywhere: the steps are all planned before it runs, on a
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
  return (await offline.startRendering()).getChannelData(0);
}

// Runs in the page: the worklet's sound, of samples worked out there, with the settings that made it.
async function render(frames) {
  const rate = page.data.rate, made = i => Math.fround(Math.fround(((i * 37) % 1999 - 999) / 32768) + Math.fround(((i * 7) % 977 - 488) / 16384));
  const offline = new OfflineAudioContext(1, frames, rate);
  page.clip = offline.createBuffer(1, frames + rate, rate);
  page.clip.copyToChannel(Float32Array.from({ length: frames + rate }, (_, i) => made(i)), 0);
  await attach(offline, offline.destination);
  page.gate.gain.value = page.volume.gain.value = 1;
  return (await offline.startRendering()).getChannelData(0);
}

// Runs in the page: samples as text.
function asText(sound) {
  const bytes = new Uint8Array(sound.buffer, sound.byteOffset, sound.byteLength);
  let text = '';
  for (let i = 0; i < bytes.length; i += 32768) text += String.fromCharCode(...bytes.subarray(i, i + 32768));
  return btoa(text);
}

async function until(run, condition) {
  for (let i = 0; i < 200; i++) {
    if (await run(condition) === true) return true;
    await new Promise(resolve => setTimeout(resolve, 50));
  }
  return false;
}

// The listening page: 20 switches and 10 loops of two candidates that sound alike.
export async function listening(engine, { open, run }, here, check) {
  for (const name of ['sine', 'pink']) {
    await open(`file://${here}/${name}/index.html`);
    check(`${engine}, ${name}: decodes`, await until(run, '!!page.clips'));
    const steps = ['[0, e => { e.heard = 2; e.play(); }]'];
    for (let i = 0; i < 20; i++) steps.push(`[${0.213 + 0.487 * i}, e => e.hear(${1 + i % 2})]`);
    const sound = fromBase64(await run(`(${capture})([${steps}], 10.5).then(${asText})`));
    const expected = samples(`${here}/${name}/true-level/01-same.wav`);
    const error = 32768 * worstError(sound, expected, 3840, sound.length), bend = worstBend(sound, 3840, sound.length);
    console.log(`${engine}, ${name}: ${error.toFixed(2)} steps of 16 bits off, second difference at most ${bend.toFixed(3)} times its median`);
    check(`${engine}, ${name}: 20 switches and 10 loops keep to the sample`, error <= 2.01);
    check(`${engine}, ${name}: no click`, bend <= 1.5);
  }
}

// The live page: 8 s have the digest of this machine's own code (live_sound.c).
export async function live(engine, { open, run }, here, native, check) {
  const frames = 8 * 48000;
  await open(`file://${here}/demo/live.html`);
  check(`${engine}, live: decodes`, await until(run, '!!page.clip'));
  await run('(match(false), true)');
  const set = JSON.parse(await run('JSON.stringify(everything())'));
  const ours = Buffer.from(await run(`(${render})(${frames}).then(${asText})`), 'base64');
  const theirs = spawnSync(native, ['48000'], { input: [...set.map(([port, value]) => `set ${port} ${value}\n`), `run ${frames}\n`].join(''), maxBuffer: 1 << 26 }).stdout;
  const digest = bytes => createHash('sha256').update(bytes).digest('hex');
  console.log(`${engine}, live: 8 s with SHA-256 ${digest(ours).slice(0, 16)}..., of this machine's own code ${digest(theirs).slice(0, 16)}...`);
  check(`${engine}, live: 8 s have the digest of this machine's own code`, ours.length === 4 * frames && digest(ours) === digest(theirs));
}
