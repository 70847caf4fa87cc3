// SPDX-License-Identifier: ISC
// The live page: sliders and switches of one setup, yours, against candidates, through the program's own core. What
// is told and drawn comes from a core beside the controls, the sound from one in an audio worklet.
'use strict';

const SLIDER_STEPS = 1000, PAGE_STEPS = 10;
const RECORDED = 0, YOURS = 1, FIRST = 2; // what can be heard: from FIRST on the candidates
const POINTS = 181, HZ_LOW = 20, DECADES = 3;
const REC = 0, A = 1, B = 2;              // setups of the core; of the curves too
const BARE = { label: 'Without cable' };  // what the cable alone is held against
const DASH = '\u2013';

const HZ = Array.from({ length: POINTS }, (_, i) => HZ_LOW * 10 ** (DECADES * i / (POINTS - 1)));
const page = { data: null, core: null, clip: null, context: null, node: null, gate: null, volume: null, playing: false, matched: true,
               heard: YOURS, last: FIRST, against: 0, counter: false, db: START_DB, at: 0, open: 0, rows: [], sections: [], unsent: [], stale: false, plot: null };

const bytesOf = id => Uint8Array.from(atob($(id).textContent.trim()), c => c.charCodeAt(0));
const words = at => page.core.words(at);
const other = () => (page.counter ? BARE : page.data.candidates[page.against]);
const labelOf = index => (index === RECORDED ? 'As recorded' : index === YOURS ? (page.counter ? 'With this cable' : 'Yours') : other().label);

// ---- from the controls to both cores

// One change of the core beside the controls, which the sound hears once this turn of the page is over.
function hand(port, value) {
  if (page.unsent.length === 0) queueMicrotask(() => { page.node?.port.postMessage({ set: page.unsent }); page.unsent = []; });
  page.unsent.push([port, page.core.set(port, value)]);
  if (!page.stale) {
    page.stale = true;
    requestAnimationFrame(refresh);
  }
}

// A value of yours; beside the cable alone the other side goes along, but for the cable's length.
function set(port, value) {
  const { a, b, params, cable_length } = page.data.ports, id = port - a;
  hand(port, value);
  if (page.counter && id >= 0 && id < params && id !== cable_length) hand(b + id, page.core.value(port));
}

function setAll(first, values) { values.forEach((value, i) => hand(first + i, value)); }

function yours() { return Array.from({ length: page.data.ports.params }, (_, i) => page.core.value(page.data.ports.a + i)); }

function setOther() {
  const { b, cable_length } = page.data.ports;
  setAll(b, page.counter ? yours().map((value, i) => (i === cable_length ? 0 : value)) : other().values);
}

// Every control as it stands, for a core that begins.
function everything() { return Array.from({ length: page.data.ports.last + 1 - page.data.ports.first }, (_, i) => [page.data.ports.first + i, page.core.value(page.data.ports.first + i)]); }

// ---- sound

// The context is made at the first gesture: before, a browser would not let it sound.
async function ready() {
  if (!page.context) {
    const context = new AudioContext({ sampleRate: page.clip.sampleRate, latencyHint: 'balanced' });
    await attach(context, context.destination);
    page.context = context;
  }
  await wake(page.context);
}

// The worklet, the gate behind it and the volume, on a live graph or on one that renders into memory.
async function attach(context, destination) {
  await context.audioWorklet.addModule(`data:text/javascript;base64,${$('worklet').textContent.trim()}`);
  const samples = page.clip.getChannelData(0), seamless = !roughSeam(samples, 0, samples.length, page.clip.sampleRate);
  const options = { numberOfInputs: 0, outputChannelCount: [1], processorOptions: { bytes: bytesOf('core'), samples, set: everything(), seamless } };
  page.node = new AudioWorkletNode(context, 'live', options);
  page.node.port.onmessage = ({ data }) => report(data);
  page.node.onprocessorerror = () => { stop(); tell('The sound broke off: this browser does not run the page\u2019s core. Another one can.'); };
  page.gate = context.createGain();
  page.volume = context.createGain();
  page.gate.gain.value = 0;
  page.volume.gain.value = gainOf(page.db);
  page.node.connect(page.gate).connect(page.volume).connect(destination);
  if (page.at > 0) page.node.port.postMessage({ seek: page.at });
}

function report({ frame, lowered }) {
  page.at = frame;
  $('lowered').hidden = lowered > 0.999;
  $('lowered').textContent = `Lowered by ${(-20 * Math.log10(lowered)).toFixed(1)} dB so that nothing clips.`;
  clock();
}

function swing(open) {
  const now = page.context.currentTime + AHEAD_SECONDS;
  Engine.ramp(page.gate.gain, page.open, open, now, SETTLE_SECONDS);
  page.open = open;
  return 1000 * (AHEAD_SECONDS + SETTLE_SECONDS);
}

async function play() {
  if (!page.clip || page.playing) return;
  page.playing = true;
  show();
  try {
    await ready();
    if (page.playing) swing(1);
  } catch {
    stop();
    tell(NO_OUTPUT);
  }
}

function stop() {
  page.playing = false;
  show();
}

function pause() {
  if (!page.playing) return;
  stop();
  if (page.context) setTimeout(() => { if (!page.playing) page.context.suspend(); }, swing(0) + 60);
}

function toggle() { if (page.playing) pause(); else play(); }

function hear(index) {
  if (index < 0 || index >= FIRST + (page.counter ? 1 : page.data.candidates.length)) return;
  if (index !== page.heard) page.last = page.heard;
  page.heard = index;
  if (index >= FIRST && !page.counter && page.against !== index - FIRST) {
    page.against = index - FIRST;
    setOther();
  }
  hand(page.data.ports.listen, Math.min(index, FIRST));
  const about = index >= FIRST ? other().comment : '';
  tell(about ? `${labelOf(index)}: ${about}` : labelOf(index));
  show();
}

function match(on) {
  page.matched = on;
  hand(page.data.ports.level_match, on ? 1 : 0);
  show();
}

function setVolume(db) {
  page.db = db;
  if (page.volume) page.volume.gain.setTargetAtTime(gainOf(db), page.context.currentTime, 0.015);
  showVolume(db);
}

function clock() {
  const rate = page.clip ? page.clip.sampleRate : page.data.rate, all = page.clip ? page.clip.length : page.data.frames;
  $('seek').value = page.at;
  $('seek').setAttribute('aria-valuetext', clockOf(page.at / rate));
  $('time').textContent = `${clockOf(page.at / rate)} / ${clockOf(all / rate)}`;
}

function seek(frame) {
  page.at = frame;
  page.node?.port.postMessage({ seek: frame });
  clock();
}

// ---- controls

function slider(port) {
  const range = Object.assign(document.createElement('input'), { type: 'range', min: 0, max: SLIDER_STEPS, step: 1 });
  const text = Object.assign(document.createElement('input'), { type: 'text', autocomplete: 'off', spellcheck: false });
  const steps = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: PAGE_STEPS, PageDown: -PAGE_STEPS };
  range.addEventListener('input', () => set(port, page.core.at(port, range.value / SLIDER_STEPS)));
  range.addEventListener('keydown', event => {
    if (!steps[event.key]) return;
    event.preventDefault();
    set(port, page.core.step(port, steps[event.key], event.shiftKey));
  });
  text.addEventListener('change', () => {
    page.core.tell(text.value);
    if (page.core.read(port)) set(port, page.core.value(port));
    else tell(words(page.core.text()));
    text.blur();
    refresh();
  });
  const update = () => {
    const value = words(page.core.print(port));
    range.value = SLIDER_STEPS * page.core.share(port);
    range.setAttribute('aria-valuetext', value);
    if (document.activeElement !== text) text.value = value;
  };
  return { parts: [range, text], update };
}

function list(port, { points }) {
  const select = document.createElement('select');
  for (const [value, label] of points) select.append(new Option(label, value));
  select.addEventListener('change', () => set(port, +select.value));
  return { parts: [select], update: () => { select.selectedIndex = points.findIndex(([value]) => value === page.core.value(port)); } };
}

function toggler(port) {
  const box = Object.assign(document.createElement('input'), { type: 'checkbox' });
  box.setAttribute('role', 'switch');
  box.addEventListener('change', () => set(port, box.checked ? 1 : 0));
  return { parts: [box], update: () => { box.checked = page.core.value(port) > 0; } };
}

// A line for one control: its name, what moves it, and why it does nothing. The place tells lines of one control apart.
function makeRow(port, place) {
  const about = JSON.parse(words(page.core.describe(port)));
  const { parts, update } = about.kind === 'switch' ? toggler(port) : about.kind === 'list' ? list(port, about) : slider(port);
  const row = document.createElement('div'), label = document.createElement('label'), why = document.createElement('span');
  Object.assign(label, { textContent: about.name, htmlFor: `${place}-${port}`, title: about.meaning });
  why.className = 'why soft';
  why.id = `${place}-${port}-why`;
  parts[0].id = label.htmlFor;
  parts.forEach((part, i) => {
    part.setAttribute('aria-describedby', why.id);
    if (i > 0) part.setAttribute('aria-label', `${about.name}, as a value`);
    part.title = `${about.meaning} ${about.range}`;
  });
  row.append(label, ...parts, why);
  return { row, update: () => {
    const idle = words(page.core.idle(port));
    update();
    row.className = idle ? 'control idle' : 'control';
    why.textContent = idle ? `Does nothing here: ${idle}.` : '';
  } };
}

function makeSections() {
  for (let i = 0; i < page.core.pages(); i++) {
    const section = document.createElement('details'), head = document.createElement('summary'), body = document.createElement('div');
    section.className = 'page';
    section.open = page.data.open.includes(i);
    head.textContent = words(page.core.page_name(i));
    section.append(head, body);
    $('pages').append(section);
    page.sections.push({ section, body, rows: new Map(), shown: '' });
  }
  for (const id of [page.data.ports.cable_length, page.data.ports.cable_capacitance]) {
    const made = makeRow(page.data.ports.a + id, 'counter');
    page.rows.push(made);
    $('cable-rows').append(made.row);
  }
}

// The lines of a page of controls, in their order; those that have no place now are kept for later.
function fill(section, index) {
  const count = page.core.page(index), ports = Array.from(new Int32Array(page.core.memory.buffer, page.core.ports(), count));
  section.section.hidden = count === 0;
  for (const port of ports) if (!section.rows.has(port)) section.rows.set(port, makeRow(port, `page${index}`));
  if (`${ports}` !== section.shown) {
    const focus = document.activeElement;
    section.body.replaceChildren(...ports.map(port => section.rows.get(port).row));
    if (section.body.contains(focus)) focus.focus();
    section.shown = `${ports}`;
  }
  for (const port of ports) section.rows.get(port).update();
}

// ---- what is told

function levelsOf(which) { return HZ.map(hz => page.core.db(which, hz)).map(db => (Number.isFinite(db) ? db : null)); }

// What each partial of the string does of which a setup is heard, against another setup that heard the same string, or alone.
function partialsOf(which, against) {
  const { core } = page, string = core.string(which), open = string && core.pitch(string), hz = [], db = [];
  for (let n = 1; string && n * open <= HZ[POINTS - 1]; n++) {
    const value = core.partial(which, string, n * open) - (against === undefined ? 0 : core.partial(against, string, n * open));
    if (Number.isFinite(value)) { hz.push(n * open); db.push(value); }
  }
  return { string, hz, db };
}

function draw() {
  const { core, plot } = page, difference = plot.reference === B;
  plot.data.db = [levelsOf(REC), levelsOf(A), levelsOf(B)];
  plot.data.partials = [undefined, difference && core.string(A) !== core.string(B) ? undefined : partialsOf(A, difference ? B : undefined), partialsOf(B)];
  plot.shown = difference ? [A] : page.data.undone && !page.counter ? [A, B, REC] : [A, B];
  plot.bold = Math.min(page.heard, FIRST);
  plot.draw();
  $('legend').replaceChildren(...plot.shown.map((curve, k) => {
    const item = document.createElement('li');
    item.className = 'key';
    const string = plot.data.partials[curve]?.string, dots = string ? `; dots: partials of string ${string}` : '';
    item.append(plot.swatch(k), curve === REC ? 'What the recording went through' : labelOf(curve === A ? YOURS : FIRST) + dots);
    return item;
  }));
}

function tellFigures() {
  const rows = [];
  for (let i = 0; i < page.core.figures(); i++) {
    const values = [words(page.core.figure(A, i)), words(page.core.figure(B, i))];
    if (values.every(value => value === DASH)) continue;
    const row = document.createElement('tr'), name = document.createElement('th');
    name.scope = 'row';
    name.textContent = words(page.core.figure_name(i));
    row.append(name, ...values.map(value => Object.assign(document.createElement('td'), { textContent: value })));
    rows.push(row);
  }
  document.querySelector('#figures tbody').replaceChildren(...rows);
  $('mine').textContent = labelOf(YOURS);
  $('other').textContent = $('against').options[1].textContent = labelOf(FIRST);
  $('cable-words').textContent = words(page.core.cable(A));
  $('counter-words').textContent = words(page.core.cable_plainly(A));
}

// Everything that follows from the values; worked out once for all changes of a frame.
function refresh() {
  page.stale = false;
  page.sections.forEach(fill);
  page.rows.forEach(row => row.update());
  tellFigures();
  draw();
  $('settings').value = exported('settings');
}

// ---- back to the builder

function exported(form) {
  page.core.tell($('name').value.replace(/\s+/g, ' ').trim() || 'Yours');
  return words(page.core[form]());
}

function save() {
  const link = document.createElement('a'), name = $('name').value.replace(/[^A-Za-z0-9]+/g, '-').replace(/^-|-$/g, '').toLowerCase() || 'yours';
  link.href = URL.createObjectURL(new Blob([exported('preset')], { type: 'text/turtle' }));
  link.download = `${name}.ttl`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  tell(`Saved as ${link.download}, where your browser keeps what it downloads.`);
}

async function copy() {
  if (await toClipboard($('settings').value)) return tell('Copied: paste it into a message.');
  $('settings').select();
  tell('Not copied: the text is marked, copy it by hand.');
}

// ---- views and keys

function showCounter(on) {
  page.counter = on;
  document.body.classList.toggle('for-counter', on);
  $('cable').hidden = !on;
  setOther();
  makeVoices();
  hear(on ? Math.min(page.heard || YOURS, FIRST) : page.heard >= FIRST ? FIRST + page.against : page.heard);
}

function makeVoices() {
  const names = page.counter ? [YOURS, FIRST] : [RECORDED, YOURS, ...page.data.candidates.map((_, i) => FIRST + i)];
  $('voices').replaceChildren(...names.map(index => {
    const button = makeButton('', () => hear(index)), key = document.createElement('kbd');
    key.textContent = index;
    key.setAttribute('aria-hidden', 'true');
    button.dataset.sound = index;
    button.append(key, index < FIRST || page.counter ? labelOf(index) : page.data.candidates[index - FIRST].label);
    return button;
  }));
}

function show() {
  $('play').textContent = page.playing ? 'Pause' : 'Play';
  document.querySelectorAll('[data-sound]').forEach(b => press(b, +b.dataset.sound === page.heard));
  press($('matched'), page.matched);
  press($('true'), !page.matched);
  press($('all'), !page.counter);
  press($('counter'), page.counter);
  $('now').textContent = labelOf(page.heard);
  clock();
}

const KEYS = { ' ': toggle, x: () => hear(page.last), m: () => match(!page.matched), c: () => showCounter(!page.counter) };

// What has a use for the key itself keeps it.
function onKey(event) {
  const { target, ctrlKey, altKey, metaKey } = event, key = event.key.toLowerCase();
  if (ctrlKey || altKey || metaKey || target.type === 'text' || ['TEXTAREA', 'SELECT'].includes(target.tagName)) return;
  if (key === ' ' && (['BUTTON', 'SUMMARY', 'A'].includes(target.tagName) || target.type === 'checkbox')) return;
  if (key >= '0' && key <= '9') hear(typedNumber(key, FIRST + page.data.candidates.length));
  else if (KEYS[key]) { if (!event.repeat) KEYS[key](); }
  else return;
  event.preventDefault();
}

function wire() {
  document.addEventListener('keydown', onKey);
  document.addEventListener('click', event => { if (event.detail > 0) event.target.closest('button')?.blur(); });
  $('play').addEventListener('click', toggle);
  $('matched').addEventListener('click', () => match(true));
  $('true').addEventListener('click', () => match(false));
  $('all').addEventListener('click', () => showCounter(false));
  $('counter').addEventListener('click', () => showCounter(true));
  $('start').addEventListener('click', () => { setAll(page.data.ports.a, other().values); tell(`Yours starts from ${other().label}.`); });
  $('seek').addEventListener('input', event => seek(+event.target.value));
  $('volume').addEventListener('input', event => setVolume(+event.target.value));
  $('against').addEventListener('change', event => { page.plot.reference = +event.target.value; draw(); });
  $('name').addEventListener('input', refresh);
  $('save').addEventListener('click', save);
  $('copy').addEventListener('click', copy);
  new ResizeObserver(() => draw()).observe($('plot'));
}

// The setups as the program left them: yours begins as the first candidate.
function begin() {
  const { ports, candidates, recorded, globals } = page.data;
  for (const [port, value] of globals) hand(port, value);
  setAll(ports.rec, recorded);
  setAll(ports.a, candidates[0].values);
  setOther();
  page.plot = new Plot($('plot'), { hz: HZ, db: [[], [], []] });
  makeSections();
  makeVoices();
  wire();
  $('volume').value = START_DB;
  setVolume(START_DB);
  match(true);
  hear(YOURS);
  page.last = FIRST;
}

document.addEventListener('DOMContentLoaded', async () => {
  page.data = JSON.parse($('data').textContent);
  try {
    page.core = new Core(bytesOf('core'), page.data.rate);
  } catch {
    document.documentElement.classList.remove('js');
    return;
  }
  begin();
  try {
    [page.clip] = await decode(page.data.rate);
    $('seek').max = page.clip.length - 1;
    $('play').disabled = false;
    show();
  } catch {
    tell(NO_DECODER);
  }
});
