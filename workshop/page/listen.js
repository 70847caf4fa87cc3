// SPDX-License-Identifier: ISC
// The listening page: controls and keys around the engine and the picture. Reads what the program left in
// the page; asks nothing of any network.
'use strict';

const JUMP_SECONDS = 2, LEAST_LOOP_SECONDS = 0.1;

const page = { data: null, clips: null, context: null, engine: null, playing: false, matched: true, last: 0, heard: 0,
               db: START_DB, plot: null };

function levels() { return page.data.sounds.map(s => (page.matched ? s.match : 1)); }

function gain() { return gainOf(page.db); }

// The context is made at the first gesture: before, a browser would not let it sound.
async function ready() {
  if (!page.engine) {
    const rate = page.clips[0].sampleRate;
    page.context = new AudioContext({ sampleRate: rate, latencyHint: 'playback' });
    page.engine = new Engine(page.context, page.clips);
    page.engine.heard = page.heard;
    page.engine.levels = levels();
    page.engine.setVolume(gain());
    page.engine.ended = () => { page.playing = false; rest(); show(); };
  }
  await wake(page.context);
}

function rest() { if (!page.playing && page.context) page.context.suspend(); }

async function play() {
  if (!page.clips || page.playing) return;
  page.playing = true;
  show();
  try {
    await ready();
    if (page.playing) page.engine.play();
    tick();
  } catch {
    page.playing = false;
    show();
    tell(NO_OUTPUT);
  }
}

function pause() {
  if (!page.playing) return;
  page.playing = false;
  if (page.engine) {
    const silent = page.engine.pause() - page.context.currentTime;
    setTimeout(rest, 1000 * silent + 60);
  }
  show();
}

function toggle() { if (page.playing) pause(); else play(); }

function select(index) {
  if (index < 0 || index >= page.data.sounds.length) return;
  if (index !== page.heard) page.last = page.heard;
  page.heard = index;
  if (page.engine) page.engine.hear(index);
  page.plot.show(index);
  const { label, comment } = page.data.sounds[index];
  tell(comment ? `${label}: ${comment}` : label);
  show();
  draw();
}

function match(on) {
  page.matched = on;
  if (page.engine) page.engine.level(levels());
  show();
}

function rate() { return page.clips ? page.clips[0].sampleRate : page.data.rate; }
function frames() { return page.clips ? page.clips[0].length : page.data.frames; }
function part() { return page.engine ? page.engine : page.part; }

function seek(frame) {
  if (page.engine) page.engine.seek(frame);
  else page.part.frame = frame;
  clock();
}

// Before the first gesture there is no engine: what is chosen is kept for it.
function position() { return page.engine ? page.engine.position() : page.part.frame; }

function loop(looping, from, to) {
  if (to - from < LEAST_LOOP_SECONDS * rate()) {
    tell('A loop is a tenth of a second or longer.');
    return;
  }
  if (page.engine) page.engine.loop(looping, from, to);
  else Object.assign(page.part, { looping, from, to });
  show();
}

function setVolume(db) {
  page.db = db;
  if (page.engine) page.engine.setVolume(gain());
  showVolume(db);
}

function seconds(frame) { return clockOf(frame / rate()); }

function clock() {
  $('seek').value = position();
  $('seek').setAttribute('aria-valuetext', seconds(position()));
  $('time').textContent = `${seconds(position())} / ${seconds(frames())}`;
}

function tick() {
  clock();
  if (!page.playing) return;
  if (page.engine) page.engine.planDips();
  setTimeout(() => requestAnimationFrame(tick), 60);
}

function show() {
  const { from, to, looping } = part();
  $('play').textContent = page.playing ? 'Pause' : 'Play';
  document.querySelectorAll('[data-sound]').forEach(b => press(b, +b.dataset.sound === page.heard));
  press($('matched'), page.matched);
  press($('true'), !page.matched);
  press($('loop'), looping);
  const whole = from === 0 && to === frames();
  $('whole').hidden = whole;
  $('part').textContent = whole ? '' : `${seconds(from)} to ${seconds(to)}`;
  $('now').textContent = page.data.sounds[page.heard].label;
  clock();
}

function draw() {
  const { plot, data } = page;
  plot.draw();
  $('legend').replaceChildren(...plot.shown.map((sound, k) => {
    const item = document.createElement('li'), button = document.createElement('button');
    button.type = 'button';
    button.dataset.sound = sound;
    button.className = 'key';
    button.append(plot.swatch(k), data.sounds[sound].label);
    press(button, sound === page.heard);
    item.append(button);
    return item;
  }));
  $('against').value = plot.reference;
}

// A comparison of the files: its first side is what the picture counts from.
function compare(a, b) {
  page.plot.reference = a;
  page.plot.shown = [a, b].filter((s, i, all) => s !== a && all.indexOf(s) === i);
}

function makeVoices() {
  page.data.sounds.forEach((sound, i) => {
    const button = document.createElement('button'), key = document.createElement('kbd');
    button.type = 'button';
    button.dataset.sound = i;
    key.textContent = i;
    key.setAttribute('aria-hidden', 'true');
    button.append(key, sound.label);
    $('voices').append(button);
  });
}

function makeReferences() {
  const add = (value, text) => {
    const option = document.createElement('option');
    option.value = value;
    option.textContent = text;
    $('against').append(option);
  };
  add(-1, 'nothing: the level itself');
  page.data.sounds.forEach((sound, i) => add(i, sound.label));
}

const KEYS = {
  ' ': toggle,
  x: () => select(page.last),
  m: () => match(!page.matched),
  l: () => loop(!part().looping, part().from, part().to),
  '[': () => loop(true, position(), part().to > position() ? part().to : frames()),
  ']': () => loop(true, part().from < position() ? part().from : 0, position()),
  '\\': () => loop(true, 0, frames()),
  ArrowDown: () => select((page.heard + 1) % page.data.sounds.length),
  ArrowUp: () => select((page.heard + page.data.sounds.length - 1) % page.data.sounds.length),
  ArrowLeft: () => seek(Math.max(0, position() - JUMP_SECONDS * rate())),
  ArrowRight: () => seek(Math.min(frames() - 1, position() + JUMP_SECONDS * rate())),
};

// What has a use for the key itself keeps it: space presses a button, arrows move a slider.
function onKey(event) {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key, tag = event.target.tagName;
  if (tag === 'SELECT' || (tag === 'INPUT' && key.startsWith('Arrow'))) return;
  if (key === ' ' && ['BUTTON', 'SUMMARY', 'A'].includes(tag)) return;
  if (key >= '0' && key <= '9') select(typedNumber(key, page.data.sounds.length));
  else if (KEYS[key]) { if (!event.repeat || key.startsWith('Arrow')) KEYS[key](); }
  else return;
  event.preventDefault();
}

// After a click with a pointer the focus goes back to the page, so that space plays.
function onClick(event) {
  const button = event.target.closest('button');
  if (!button) return;
  if (event.detail > 0) button.blur();
  if (button.dataset.a !== undefined) compare(+button.dataset.a, +button.dataset.b);
  if (button.dataset.sound !== undefined) select(+button.dataset.sound);
}

function wire() {
  document.addEventListener('click', onClick);
  document.addEventListener('keydown', onKey);
  $('play').addEventListener('click', toggle);
  $('matched').addEventListener('click', () => match(true));
  $('true').addEventListener('click', () => match(false));
  $('loop').addEventListener('click', KEYS.l);
  $('from').addEventListener('click', KEYS['[']);
  $('to').addEventListener('click', KEYS[']']);
  $('whole').addEventListener('click', KEYS['\\']);
  $('seek').addEventListener('input', event => seek(+event.target.value));
  $('volume').addEventListener('input', event => setVolume(+event.target.value));
  $('against').addEventListener('change', event => {
    page.plot.reference = +event.target.value;
    page.plot.shown = page.plot.shown.filter(s => s !== page.plot.reference);
    draw();
  });
  new ResizeObserver(() => draw()).observe($('plot'));
}

async function begin() {
  page.data = JSON.parse($('data').textContent);
  page.part = { from: 0, to: page.data.frames, looping: true, frame: 0 };
  const { sounds, hz } = page.data, first = Math.min(1, sounds.length - 1);
  page.plot = new Plot($('plot'), { hz, db: sounds.map(s => s.db) });
  page.plot.reference = first;
  page.plot.shown = sounds.map((_, i) => i).slice(2, 2 + CURVES_MOST);
  makeVoices();
  makeReferences();
  wire();
  $('seek').max = page.data.frames - 1;
  $('volume').value = START_DB;
  setVolume(START_DB);
  select(first);
  page.last = 0;
  try {
    page.clips = await decode(page.data.rate);
    const { frame } = page.part;
    page.part = { from: 0, to: frames(), looping: true, frame };
    $('seek').max = frames() - 1;
    $('play').disabled = false;
    show();
  } catch {
    tell(NO_DECODER);
  }
}

document.addEventListener('DOMContentLoaded', begin);
