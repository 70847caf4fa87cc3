// SPDX-License-Identifier: ISC
// The live page's core, compiled to WebAssembly, against the same functions compiled for this machine.
//   node live_core.mjs CORE.WASM NATIVE PROGRAM SCRATCH
// NATIVE is tests/support/live_sound.c. Ends with 'N passed, N failed'.
import { createHash } from 'node:crypto';
import { readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { spawnSync } from 'node:child_process';

const [wasm, native, program, scratch] = process.argv.slice(2), folder = 'presets';
let passed = 0, failed = 0;
function check(what, good) {
  if (good) passed++;
  else { failed++; console.log(`FAIL: ${what}`); }
}
const bytes = readFileSync(wasm), Core = new Function(`${readFileSync('workshop/page/core.js', 'utf8')}; return Core;`)();
const RATE = 48000;
const sampleOf = i => Math.fround(Math.fround(((i * 37) % 1999 - 999) / 32768) + Math.fround(((i * 7) % 977 - 488) / 16384));

// What the core gives for commands, as live_sound.c.
function here(commands) {
  const core = new Core(bytes, RATE), out = [];
  let first = 0;
  for (const [name, a, b] of commands) {
    if (name === 'set') core.set(a, b);
    if (name === 'db') out.push(Buffer.from(new Float64Array([core.db(a, b)]).buffer));
    if (name === 'run') for (let at = 0; at < a; at += 128) {
      const count = Math.min(128, a - at);
      for (let i = 0; i < count; i++) core.sound[i] = sampleOf(first++);
      core.run(count);
      out.push(Buffer.from(core.sound.slice(0, count).buffer));
    }
  }
  return Buffer.concat(out);
}
function there(commands) {
  const { stdout, status } = spawnSync(native, [String(RATE)], { input: commands.map(c => `${c.join(' ')}\n`).join(''), maxBuffer: 1 << 28 });
  if (status !== 0) throw new Error(`${native}: ${status}`);
  return stdout;
}
const digest = buffer => createHash('sha256').update(buffer).digest('hex');

// Every control, by what the core says of it.
const asked = new Core(bytes, RATE), port = new Map(), about = at => JSON.parse(asked.words(asked.describe(at)));
const FIRST = 3; // behind the two of sound and the notifications
for (let at = FIRST; about(at); at++) port.set(about(at).symbol, at);
check(`every control is described: ${port.size}`, port.size > 170 && port.has('listen') && port.has('a_inductance') && port.has('b_string'));

const valuesOf = file => [...readFileSync(file, 'utf8').matchAll(/lv2:symbol "([a-z_]+)"\s*;\s*pset:value ([-+0-9.e]+)/g)].map(([, symbol, value]) => [symbol, +value]);
const setsOf = file => valuesOf(file).map(([symbol, value]) => ['set', port.get(symbol), value]);
const presets = readdirSync(folder).filter(name => name.startsWith('job-12') || name.endsWith('-coil.ttl')).map(name => `${folder}/${name}`);
const recorded = setsOf(`${folder}/recorded-through-bench-guitar.ttl`);

// Responses: what the program prints, digit for digit; and this machine's own to the last bits.
const hz = Array.from({ length: 200 }, (_, i) => Math.round(2000 * 1000 ** (i / 199)) / 100);
let levels = 0, differ = 0, apart = 0;
for (const file of presets) {
  const { stdout } = spawnSync(program, ['response', '--csv', '--at', hz.join(','), file], { encoding: 'utf8' });
  const printed = stdout.trim().split(/\r?\n/).slice(1).map(line => line.split(','));
  const commands = [...setsOf(file), ...hz.map(f => ['db', 1, f])], ours = here(commands), theirs = there(commands);
  for (let i = 0; i < hz.length; i++) {
    const db = ours.readDoubleLE(8 * i);
    levels++;
    differ += db.toFixed(6) !== printed[i][1];
    apart = Math.max(apart, Math.abs(db - theirs.readDoubleLE(8 * i)));
  }
}
check(`${levels} levels are those that 'coilwright response' prints, but for ${differ}`, levels > 1500 && differ === 0);
check(`and this machine's own within 1e-12 dB: ${apart}`, apart < 1e-12);

// Partials of a chosen string: one coil at x of a string of length l, fixed at both ends, gives the nth by |sin(pi n x / l)|.
const setAsked = (symbol, value) => asked.set(port.get(symbol), value);
check('the mean of six strings has no partials', setAsked('string_places', 1) === 1 && setAsked('undo_recording', 0) === 0 && asked.string(1) === 0);
setAsked('a_string', 6);
const [x, l] = [setAsked('a_bridge_distance', 45), setAsked('a_scale_length', 648)], open = asked.pitch(asked.string(1));
const off = Array.from({ length: 71 }, (_, i) => i + 1).map(n => asked.partial(1, 6, n * open) - asked.db(1, n * open) - 20 * Math.log10(Math.abs(Math.sin(Math.PI * n * x / l))));
check(`partials of E2, ${open} Hz, are the string's: ${Math.max(...off.map(Math.abs))} dB off`, Math.abs(open - 82.4069) < 1e-4 && off.every(db => Math.abs(db) < 1e-6));
setAsked('string_places', 0);
check('without the places there are none', asked.string(1) === 0);

// Sound: 8 s of each, and 8 s while sliders move. Bit for bit, but where the two C libraries round the last bit of a
// logarithm or a power differently, and with it a filter: there within 1e-7 of full scale.
const floats = buffer => new Float32Array(buffer.buffer.slice(buffer.byteOffset, buffer.byteOffset + buffer.length));
const difference = (a, b) => { const other = floats(b); return floats(a).reduce((most, x, i) => Math.max(most, Math.abs(x - other[i])), 0); };
const listen = [['set', port.get('listen'), 1]], seconds = 8;
const moving = [...listen, ...recorded, ...setsOf(presets[0])];
for (let i = 0; i < 400; i++) moving.push(['run', 960], ['set', port.get('a_cable_length'), (i * 7) % 30], ['set', port.get('a_tone'), 10 - (i % 11)]);
const sounds = [...presets.map(file => [...listen, ...recorded, ...setsOf(file), ['run', seconds * RATE]]), moving];
let alike = 0, furthest = 0;
for (const commands of sounds) {
  const ours = here(commands), theirs = there(commands);
  alike += digest(ours) === digest(theirs);
  furthest = Math.max(furthest, difference(ours, theirs));
}
console.log(`sound: ${alike} of ${sounds.length} pieces of ${seconds} s have the digest of this machine's own code; at most ${furthest.toExponential(1)} apart`);
check(`most sound has the same digest: ${alike} of ${sounds.length}`, alike >= 0.5 * sounds.length);
check(`and the rest is within 1e-7: ${furthest}`, furthest <= 1e-7);
check('silence is no sound that is alike', new Set(new Float32Array(here([...moving, ['run', 4800]]).buffer)).size > 1000);

// A value typed, a slider's place, a page of controls.
const cable = port.get('a_cable_length');
asked.tell('6,5 m');
check('a value is read as people write it', asked.read(cable) === 1 && asked.value(cable) === 6.5);
asked.tell('a mile');
check('what is none is refused in words', asked.read(cable) === 0 && /expected/.test(asked.words(asked.text())) && asked.value(cable) === 6.5);
check('its place on a slider gives it back', asked.at(cable, asked.share(cable)) === 6.5);
const pages = Array.from({ length: asked.pages() }, (_, i) => asked.page(i));
check(`pages of controls: ${pages}`, pages.length >= 6 && Math.max(...pages) <= 12 && pages.some(n => n === 0));
for (const wrong of [-1, 0, 1, 1e6]) check(`port ${wrong} is none`, about(wrong) === null && asked.set(wrong, 1) === 0 && asked.words(asked.print(wrong)) === '');
check('any number is survived', asked.set(cable, NaN) === 6.5 && asked.set(cable, Infinity) === 30 && asked.set(cable, -1e38) === 0);

// Back to the builder: the program reads what the core writes, and answers the same of it.
const back = new Core(bytes, RATE);
for (const [, at, value] of setsOf(presets[0])) back.set(at, value);
back.set(port.get('a_cable_length'), 7.3);
back.set(port.get('a_inductance'), 5.4321);
const answer = file => spawnSync(program, ['response', '--csv', file], { encoding: 'utf8' }).stdout;
back.tell('Yours "quoted" \\ é');
writeFileSync(`${scratch}/back.ttl`, back.words(back.preset()));
back.tell('Yours "quoted" \\ é');
const text = back.words(back.settings());
writeFileSync(`${scratch}/back.txt`, text);
const first = answer(`${scratch}/back.ttl`);
check('the preset is read', first.startsWith('"frequency, Hz"') && first.includes('Yours') && first.split('\n').length > 20);
check('the lines say the same', answer(`${scratch}/back.txt`) === first);
writeFileSync(`${scratch}/mailed.txt`, `Hello,\r\nhere it is:\r\n\r\n${text.split('\n').map(l => `> >\u00a0${l} `).join('\r\n')}\r\nRegards\r\n`);
check('also from a mail that quotes them', answer(`${scratch}/mailed.txt`) === first);
for (const [what, bent] of [['cut', text.slice(0, 900)], ['with a line less', text.replace(/\ncable_length.*/, '')], ['of another version', text.replace('settings 1', 'settings 2')],
                            ['with a wrong value', text.replace(/\ncable_length.*/, '\ncable_length 7000 m')], ['with a symbol that is none', text.replace('cable_length', 'cable_lenght')]]) {
  writeFileSync(`${scratch}/bent.txt`, bent);
  const { status, stdout, stderr } = spawnSync(program, ['response', `${scratch}/bent.txt`], { encoding: 'utf8' });
  check(`settings ${what} are refused in one line: ${stderr}`, status === 1 && stdout === '' && /^coilwright: .*bent\.txt:\d+: .*expected .*\n$/.test(stderr));
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
