// SPDX-License-Identifier: ISC
// Captured sound against rendered files.
import { readFileSync } from 'node:fs';

// The samples of a mono WAV file of 32-bit float.
export function samples(path) {
  const bytes = readFileSync(path);
  let at = 12;
  while (bytes.toString('latin1', at, at + 4) !== 'data') at += 8 + bytes.readUInt32LE(at + 4);
  const length = bytes.readUInt32LE(at + 4);
  return new Float32Array(bytes.buffer.slice(bytes.byteOffset + at + 8, bytes.byteOffset + at + 8 + length));
}

export const fromBase64 = text => {
  const bytes = Buffer.from(text, 'base64');
  return new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength));
};

// The largest second difference of each block of 10 ms, against their median.
export function worstBend(sound, from, to) {
  const blocks = [];
  for (let at = from; at + 480 <= to; at += 480) {
    let worst = 0;
    for (let i = at + 1; i < at + 479; i++) worst = Math.max(worst, Math.abs(sound[i - 1] - 2 * sound[i] + sound[i + 1]));
    blocks.push(worst);
  }
  const sorted = blocks.slice().sort((a, b) => a - b);
  return sorted[sorted.length - 1] / sorted[sorted.length >> 1];
}

// The largest difference to a recording that goes round, from its start at sample 0.
export function worstError(sound, expected, from, to) {
  let worst = 0;
  for (let i = from; i < to; i++) worst = Math.max(worst, Math.abs(sound[i] - expected[i % expected.length]));
  return worst;
}


// Power of the lines from low to high Hz, `count` of them, of sound that repeats every second; in dB.
export function linesDb(sound, rate, low, high, count) {
  let power = 0;
  for (let k = 0; k < count; k++) {
    const hz = Math.round(low + (high - low) * k / count), w = 2 * Math.cos(2 * Math.PI * hz / rate); // Goertzel
    let a = 0, b = 0;
    for (const x of sound) [a, b] = [x + w * a - b, a];
    power += (a * a + b * b - w * a * b) / (sound.length * sound.length);
  }
  return 10 * Math.log10(power);
}
