// SPDX-License-Identifier: ISC
// A page of white noise at 48 kHz, played by Chromium into a sound device of 44.1 kHz and captured there.
//   node device_check.mjs DIRECTORY      with the page white; PulseAudio's null sink 'out' runs
// Ends with 'N passed, N failed'.
import { spawn } from 'node:child_process';
import { launch } from './browser.mjs';
import { linesDb, samples } from './sound.mjs';

const here = process.argv[2], rate = 44100;
let passed = 0, failed = 0;
const browser = await launch();
try {
  const tab = await browser.open(`file://${here}/white/index.html`);
  await tab.until('page.clips && !document.getElementById("play").disabled', 20);
  await tab.run('setVolume(0); match(false)');
  await tab.key('1');
  await tab.key(' ');
  await tab.until('page.engine && page.engine.position() > 0');
  await new Promise(resolve => setTimeout(resolve, 1500));
  const parts = [], recorder = spawn('parec', ['-d', 'out.monitor', '--format=float32le', `--rate=${rate}`, '--channels=1'], { stdio: ['ignore', 'pipe', 'ignore'] });
  recorder.stdout.on('data', part => parts.push(part));
  await new Promise(resolve => setTimeout(resolve, 5000));
  recorder.kill();
  const bytes = Buffer.concat(parts), all = new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + 4 * Math.floor(bytes.length / 4)));
  const heard = all.slice(rate, 3 * rate), file = samples(`${here}/white/true-level/01-same.wav`);
  for (const [low, high] of [[500, 1500], [4500, 5500], [9500, 10500], [14500, 15500], [15500, 16000]]) {
    const off = linesDb(heard, rate, low, high, 200) - linesDb(file, 48000, low, high, 200), good = Math.abs(off) <= 0.05;
    console.log(`48 kHz on a device of 44.1 kHz, ${low} to ${high} Hz: ${off.toFixed(3)} dB`);
    if (good) passed++;
    else { failed++; console.log(`FAIL: ${low} to ${high} Hz: expected within 0.05 dB`); }
  }
} finally {
  await browser.close();
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
