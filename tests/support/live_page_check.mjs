// SPDX-License-Identifier: ISC
// The live page in a real browser: what sounds against this machine's own code, what the controls do and say.
//   node live_page_check.mjs DIRECTORY NATIVE PROGRAM
// DIRECTORY holds pages that tests/test_live.sh made, NATIVE is tests/support/live_sound.c. Ends with 'N passed,
// N failed'.
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { spawnSync } from 'node:child_process';
import { launch } from './browser.mjs';
import { fromBase64, worstBend } from './sound.mjs';

const [here, native, program] = process.argv.slice(2);
let passed = 0, failed = 0;
function check(what, good) {
  if (good) passed++;
  else { failed++; console.log(`FAIL: ${what}`); }
}
const address = name => `file://${here}/${name}/live.html`, RATE = 48000;
const ready = tab => tab.until('page.clip && !document.getElementById("play").disabled && !page.stale', 20);
const digest = floats => createHash('sha256').update(Buffer.from(floats.buffer, floats.byteOffset, floats.byteLength)).digest('hex');
const difference = (a, b) => a.reduce((most, x, i) => Math.max(most, Math.abs(x - b[i])), a.length === b.length ? 0 : Infinity);

// Runs in the page: the worklet on a graph that renders into memory, at full volume. `made` gives sample i. `steps`
// are [frame, code]; a step falls on a whole block of 128 samples, where such a graph can stop.
async function capture(made, frames, steps) {
  const offline = new OfflineAudioContext(1, frames, page.clip.sampleRate), clip = page.clip;
  page.clip = new AudioBuffer({ length: frames + 48000, sampleRate: clip.sampleRate });
  page.clip.copyToChannel(Float32Array.from({ length: page.clip.length }, (_, i) => made(i)), 0);
  page.at = 0;
  await attach(offline, offline.destination);
  page.gate.gain.value = page.volume.gain.value = 1;
  for (const [frame, act] of steps) offline.suspend(frame / clip.sampleRate).then(async () => { act(); await new Promise(r => setTimeout(r, 30)); offline.resume(); });
  const sound = (await offline.startRendering()).getChannelData(0), bytes = new Uint8Array(sound.buffer);
  Object.assign(page, { clip, node: null, gate: null, volume: null, at: 0 });
  let text = '';
  for (let i = 0; i < bytes.length; i += 32768) text += String.fromCharCode(...bytes.subarray(i, i + 32768));
  return btoa(text);
}
const captured = async (tab, made, frames, steps = []) =>
  fromBase64(await tab.run(`(${capture})(${made}, ${frames}, [${steps.map(([frame, code]) => `[${frame}, () => { ${code} }]`)}])`));

// The samples that live_sound.c makes, and what it makes of them.
const MADE = 'i => Math.fround(Math.fround(((i * 37) % 1999 - 999) / 32768) + Math.fround(((i * 7) % 977 - 488) / 16384))';
function own(commands) {
  const { stdout, status } = spawnSync(native, [String(RATE)], { input: commands.map(c => `${c.join(' ')}\n`).join(''), maxBuffer: 1 << 28 });
  if (status !== 0) throw new Error(`${native}: ${status}`);
  return new Float32Array(stdout.buffer.slice(stdout.byteOffset, stdout.byteOffset + stdout.length));
}
const settings = async tab => (await tab.run('everything()')).map(([port, value]) => ['set', port, value]);

async function sound(browser) {
  const tab = await browser.open(address('demo'));
  check('the page is ready', await ready(tab));
  await tab.run('match(false)');
  let alike = 0, furthest = 0;
  const heard = [1, 5];
  for (const index of heard) {
    await tab.run(`hear(${index})`);
    const ours = await captured(tab, MADE, 8 * RATE), theirs = own([...await settings(tab), ['run', 8 * RATE]]);
    alike += digest(ours) === digest(theirs);
    furthest = Math.max(furthest, difference(ours, theirs));
  }
  console.log(`browser: ${alike} of ${heard.length} pieces of 8 s have the digest of this machine's own code; at most ${furthest.toExponential(1)} apart`);
  check(`8 s in the browser have the digest of this machine's own code: ${alike} of ${heard.length}`, alike > 0 && furthest <= 1e-7);
  await tab.run('match(true); hear(1)');
  const matched = await captured(tab, MADE, 8 * RATE);
  check('and within 1e-7 with levels matched', difference(matched, own([...await settings(tab), ['run', 8 * RATE]])) <= 1e-7);

  // A slider that moves: the plugin's own crossfade, at the block at which it was moved.
  await tab.run('match(false)');
  const before = await settings(tab), cable = await tab.run('page.data.ports.a + page.data.ports.cable_length');
  const lengths = [10, 3, 20, 1, 12, 30, 0, 7], steps = lengths.map((m, i) => [(i + 1) * 9600, `set(${cable}, ${m});`]);
  const commands = [...before], tone = 'i => Math.fround(0.2 * Math.sin(i * 0.05))';
  lengths.forEach(m => commands.push(['run', 9600], ['set', cable, m]));
  commands.push(['run', 9600]);
  const moved = await captured(tab, MADE, 9600 * 9, steps), plugin = own(commands);
  console.log(`browser: while a slider moves ${difference(moved, plugin).toExponential(1)} from this machine's own code`);
  check(`a slider sounds as the plugin's control does: ${difference(moved, plugin)}`, difference(moved, plugin) <= 1e-7);
  await tab.run(`set(${cable}, 5)`);
  const plain = await captured(tab, tone, 9600 * 9), swept = await captured(tab, tone, 9600 * 9, steps);
  console.log(`browser: a tone bends by ${worstBend(plain, 9600, plain.length).toFixed(2)} times its median at rest, ${worstBend(swept, 9600, swept.length).toFixed(2)} while a slider moves`);
  check('a slider that moves is no click', worstBend(swept, 9600, swept.length) < 2.5);
  check(`nothing went wrong: ${tab.said}`, tab.said.length === 0);
  check(`nothing but the page was asked for: ${tab.asked.map(a => a.slice(0, 40))}`, tab.asked.every(a => a.startsWith('file://') || a.startsWith('data:')));
  await tab.close();
}

// The speed inside the worklet: the same processor, called in a loop by itself. The best of some: other tests run
// beside this one.
const SPAN = 20, TRIES = 40; // seconds of sound each
async function speed(browser) {
  if (process.env.CW_COVERAGE) return; // lines that are counted take their time
  const tab = await browser.open(address('demo'));
  await ready(tab);
  const times = await tab.run(`(async () => {
    const code = atob($('worklet').textContent) + \`
      registerProcessor('speed', class extends Live {
        constructor(options) {
          super(options);
          this.port.onmessage = () => {
            const out = new Float32Array(128), begun = Date.now();
            for (let i = 0; i < ${SPAN} * sampleRate / 128; i++) this.process([], [[out]]);
            this.port.postMessage({ took: Date.now() - begun, last: out[5] });
          };
        }
        });\`;
    const context = new OfflineAudioContext(1, 128, 48000);
    await context.audioWorklet.addModule('data:text/javascript;base64,' + btoa(unescape(encodeURIComponent(code))));
    const samples = page.clip.getChannelData(0);
    const node = new AudioWorkletNode(context, 'speed', { numberOfInputs: 0, outputChannelCount: [1], processorOptions: { bytes: bytesOf('core'), samples, set: everything(), seamless: false } });
    let took = Infinity;
    for (let i = 0; i < ${process.env.CW_TIMED ? TRIES : 2} && took > ${SPAN * 2}; i++) took = Math.min(took, await new Promise(done => { node.port.onmessage = ({ data }) => data.took !== undefined && done(data.took); node.port.postMessage(0); }));
    return took;
  })()`);
  console.log(`browser: ${SPAN} s of sound in ${times} ms in the worklet, ${Math.round(1000 * SPAN / times)} times real time`);
  // A limit on time is held where nothing else runs: make check-browsers.
  if (process.env.CW_TIMED) check(`at least 500 times real time in the worklet: ${1000 * SPAN / times}`, times <= 2 * SPAN);
  await tab.close();
}

async function told(browser) {
  const tab = await browser.open(address('demo'));
  await ready(tab);
  const { ports, candidates } = await tab.run('({ ports: page.data.ports, candidates: page.data.candidates.map(c => c.label) })');
  const cable = ports.a + ports.cable_length;
  await tab.run(`document.querySelector('#pages [id$="-${cable}"]').value = 400; document.querySelector('#pages [id$="-${cable}"]').dispatchEvent(new Event('input'))`);
  check('a slider moves the value', await tab.until(`page.core.value(${cable}) === 12`));
  await tab.until('!page.stale');
  check('the table tells what the window tells', await tab.run(`document.querySelector('#figures').innerText.includes('Resonance')`));
  const box = `document.querySelector('[aria-label="Cable length, as a value"]')`;
  const type = text => tab.run(`(() => { ${box}.focus(); ${box}.value = ${JSON.stringify(text)}; ${box}.dispatchEvent(new Event('change')); })()`);
  await type('6,5 m');
  check('a value can be typed', await tab.run(`page.core.value(${cable}) === 6.5 && ${box}.value === '6.5 m'`));
  await type('a mile');
  check('what is none is refused in words', /expected/.test(await tab.run(`document.getElementById('say').textContent`)) && await tab.run(`${box}.value === '6.5 m'`));
  await tab.run(`document.querySelector('#pages [id$="-${cable}"]').focus()`);
  await tab.key('ArrowRight');
  check('an arrow key moves it a step', await tab.run(`page.core.value(${cable})`) === 7);
  check('the slider says its value', await tab.until(`document.querySelector('#pages [id$="-${cable}"]').getAttribute('aria-valuetext') === '7 m'`, 3));

  // Back to the builder.
  await tab.run(`document.getElementById('name').value = 'A "name" <b>'; document.getElementById('name').dispatchEvent(new Event('input'))`);
  const answer = file => spawnSync(program, ['response', '--csv', '--at', '100,1k,3k,5k', file], { encoding: 'utf8' }).stdout;
  writeFileSync(`${here}/back.txt`, await tab.run(`document.getElementById('settings').value`));
  writeFileSync(`${here}/back.ttl`, await tab.run(`exported('preset')`));
  const rows = answer(`${here}/back.txt`).trim().split(/\r?\n/);
  check('the program reads the text', rows.length === 5 && rows[0].includes('A ""name"" <b>'));
  check('and the preset says the same', answer(`${here}/back.ttl`) === answer(`${here}/back.txt`));
  const shown = await tab.run('[100, 1000, 3000, 5000].map(hz => page.core.db(1, hz).toFixed(6))');
  check(`the page's curve is what 'coilwright response' prints: ${shown}`, rows.slice(1).every((row, i) => row.split(',')[1] === shown[i]));

  // A chosen string's partials stand beside the curve as dots: of E4 all up to 20 kHz.
  const [dots, legend, left] = await tab.run(`(() => {
    const ports = {};
    for (let at = 3; JSON.parse(words(page.core.describe(at))); at++) ports[JSON.parse(words(page.core.describe(at))).symbol] = at;
    hand(ports.string_places, 1); hand(ports.a_string, 1); refresh();
    const found = [document.querySelector('#plot .dot.s0').getAttribute('d').split('M').length - 1, document.getElementById('legend').textContent];
    hand(ports.string_places, 0); hand(ports.a_string, 0); refresh();
    return [...found, document.querySelectorAll('#plot .dot').length]; })()`);
  check(`partials of the first string: ${dots}, ${left} without the places, told as '${legend}'`,
        dots === Math.floor(20000 / (440 * 2 ** (-5 / 12))) && left === 0 && legend.includes('dots: partials of string 1'));
  await tab.pipe.send('Browser.setDownloadBehavior', { behavior: 'allow', downloadPath: here });
  await tab.click('#save');
  for (let i = 0; i < 100 && !existsSync(`${here}/a-name-b.ttl`); i++) await new Promise(resolve => setTimeout(resolve, 50));
  check('the preset is saved as a file', existsSync(`${here}/a-name-b.ttl`) && readFileSync(`${here}/a-name-b.ttl`, 'utf8') === readFileSync(`${here}/back.ttl`, 'utf8'));
  await tab.click('#copy');
  check('copying says what came of it', await tab.until(`/opied/.test(document.getElementById('say').textContent)`, 3));

  // What is heard, by keys; the cable alone.
  await tab.run('document.activeElement.blur()');
  await tab.key('4');
  check('keys: 4 is the third candidate', await tab.run('page.heard === 4 && page.against === 2') && (await tab.run(`document.getElementById('other').textContent`)) !== 'Yours');
  await tab.key('x');
  check('keys: X goes back', await tab.run('page.heard') === 1);
  await tab.key('m');
  check('keys: M is true level', await tab.run(`!page.matched && page.core.value(${ports.level_match}) === 0`));
  await tab.click('#start');
  check('yours starts from the candidate', await tab.run(`yours().every((v, i) => v === page.data.candidates[2].values[i])`));
  await tab.key('c');
  await tab.until('!page.stale');
  check('the cable alone: two to hear', await tab.run('document.querySelectorAll("#voices button").length') === 2);
  check('the cable alone: said in plain words', /With no cable the pickup rings at .* with this one at .* lower/.test(await tab.run(`document.getElementById('counter-words').textContent`)));
  await tab.run(`set(${cable}, 15)`);
  check('the cable alone: the other side keeps none', await tab.run(`page.core.value(${ports.b + ports.cable_length}) === 0 && page.core.value(${cable}) === 15`));
  await tab.key('c');
  check(`and back: ${candidates.length} candidates`, await tab.run('document.querySelectorAll("#voices button").length') === 2 + candidates.length);
  const { nodes } = await tab.send('Accessibility.getFullAXTree');
  const unnamed = nodes.filter(n => !n.ignored && ['button', 'slider', 'combobox', 'image', 'textbox', 'switch', 'checkbox'].includes(n.role?.value) && !n.name?.value);
  check(`screen reader: every control has a name, ${unnamed.map(n => n.role.value)} have none`, unnamed.length === 0 && nodes.length > 200);
  await tab.close();
}

async function quiet(browser) {
  const tab = await browser.open(address('demo'));
  await ready(tab);
  check('starts 20 dB down', Math.abs(await tab.run('gainOf(page.db)') - 0.1) < 1e-9);
  const port = symbol => `Array.from({ length: page.data.ports.params }, (_, i) => page.data.ports.a + i).find(p => JSON.parse(words(page.core.describe(p))).symbol === '${symbol}')`;
  await tab.run(`match(false); set(${port('a_sensitivity')}, 24)`);
  const loud = await captured(tab, 'i => Math.fround(0.9 * Math.sin(i * 0.3))', RATE);
  check('nothing leaves full scale', Math.max(...loud.map(Math.abs)) <= 1);
  await tab.click('#play');
  check('plays', await tab.until('page.context && page.context.state === "running" && page.at > 0'));
  await tab.run(`document.getElementById('seek').value = 240000; document.getElementById('seek').dispatchEvent(new Event('input'))`);
  check('goes on from another place', await tab.until('page.at > 240000 && page.at < 340000'));
  await tab.click('#play');
  check('pause suspends the sound', await tab.until('page.context.state === "suspended"'));
  await tab.send('Performance.enable');
  const busy = async () => (await tab.send('Performance.getMetrics')).metrics.find(m => m.name === 'TaskDuration').value;
  const before = await busy();
  await new Promise(resolve => setTimeout(resolve, 2000));
  const used = await busy() - before;
  check(`an idle page uses no processor: ${(1000 * used).toFixed(1)} ms in 2 s`, used < 0.02);
  await tab.close();
}

async function odd(browser) {
  const still = await browser.open(address('hostile'), { scripts: false });
  const { root } = await still.send('DOM.getDocument', { depth: 1 });
  const count = async selector => (await still.send('DOM.querySelectorAll', { nodeId: root.nodeId, selector })).nodeIds.length;
  check('no script: the recording and the figures', await count('#plain audio[controls]') === 1 && await count('#plain table') === 1);
  await still.close();
  const broken = async (name, first, what, act = () => {}) => {
    const tab = await browser.open(address('hostile'), { first });
    await act(tab);
    check(`${name}: the page says so`, await tab.until(what, 5));
    await tab.close();
  };
  const says = words => `${words}.test(document.getElementById('say').textContent)`;
  await broken('no WebAssembly', 'delete window.WebAssembly;', `document.querySelector('#plain').getClientRects().length > 0 && document.querySelector('#player').getClientRects().length === 0`);
  await broken('a missing codec', 'OfflineAudioContext.prototype.decodeAudioData = () => Promise.reject(new Error("no"));', says('/cannot decode/'));
  await broken('a closed audio device', 'AudioContext.prototype.resume = () => new Promise(() => {});', says('/no sound output/'), async tab => { await ready(tab); await tab.click('#play'); });
  const tab = await browser.open(address('hostile'));
  await ready(tab);
  for (let i = 0; i < 4; i++) await tab.key(String(i));
  check('hostile labels: nothing ran', await tab.run('typeof window.pwned === "undefined" && !document.querySelector("iframe, object, b, [onerror], [onload], [style]")'));
  check(`hostile labels: the policy had nothing to refuse: ${tab.said}`, tab.said.length === 0);
  await tab.run(`(() => { window.refused = 0; document.addEventListener('securitypolicyviolation', () => window.refused++);
    const s = document.createElement('script'); s.textContent = 'window.pwned = 1'; document.body.append(s);
    fetch('https://127.0.0.1:9/').catch(() => {}); })()`);
  check('policy: script and request that were put in are refused', await tab.until('window.refused >= 2 && typeof window.pwned === "undefined"', 3));
  for (const [width, dark] of [[390, true], [820, false], [1280, false]]) {
    const view = await browser.open(address('demo'), { width, height: 844, dark });
    await ready(view);
    check(`${width} px: nothing is wider than the page`, await view.run('document.documentElement.scrollWidth <= innerWidth'));
    if (width > 960) {
      const [top, bottom, slider, end] = await view.run(`(() => { const { a, cable_length } = page.data.ports, box = document.querySelector('#pages [id$="-' + (a + cable_length) + '"]');
        box.focus(); const curve = document.getElementById('plot').getBoundingClientRect(), at = box.getBoundingClientRect(); return [curve.top, curve.bottom, at.top, at.bottom]; })()`);
      check(`${width} px: the curve is in view above the value that is moved: ${top} to ${bottom}, ${slider}`, top >= 0 && bottom <= slider && end <= 844);
    }
    if (process.env.CW_SHOTS) await view.shot(`${process.env.CW_SHOTS}/live-${width}.png`, true);
    await view.close();
  }
  await tab.close();
}

const browser = await launch(['--autoplay-policy=user-gesture-required']);
try {
  for (const part of [sound, speed, told, quiet, odd]) {
    try {
      await part(browser);
    } catch (error) {
      check(`${part.name}: ${error.stack}`, false);
    }
  }
} finally {
  await browser.close();
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
