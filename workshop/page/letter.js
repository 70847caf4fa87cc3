// SPDX-License-Identifier: ISC
// A letter without names: pairs of clips, one answer to each, and a short code that carries them home. Nothing
// here knows what the clips are; answers stay in this browser until the listener sends them.
'use strict';

const GAP_SECONDS = 0.01; // of silence at each switch: a crossfade would tell equal clips from others
const SIGNS = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';

const letter = { data: null, clips: null, context: null, engine: null, playing: false, heard: 0, known: new Set(), answers: '', db: START_DB };

// Bits, the most significant first: version 4, letter 26, number 6, answers, zeros to a whole sign, CRC-15.
function codeOf(answers, id) {
  const bits = [], put = (value, count) => { for (let i = count - 1; i >= 0; i--) bits.push((value >>> i) & 1); };
  put(1, 4);
  put(id, 26);
  put(answers.length, 6);
  for (const answer of answers) bits.push(answer === '2' ? 1 : 0);
  while ((bits.length + 15) % 5) bits.push(0);
  let crc = 0;
  for (const bit of bits) crc = ((crc << 1) & 0x7fff) ^ ((crc >> 14 & 1) ^ bit ? 0x4599 : 0);
  put(crc, 15);
  let text = '';
  for (let i = 0; i < bits.length; i += 5) text += (i && i % 20 === 0 ? '-' : '') + SIGNS[parseInt(bits.slice(i, i + 5).join(''), 2)];
  return text;
}

// What was answered outlasts a reload, under what only this letter shows: of one seed there may be others with its number.
// Where nothing can be kept, it goes on without.
const place = () => `letter-${$('commitment').textContent}`;
function keep() {
  try {
    localStorage.setItem(place(), JSON.stringify({ answers: letter.answers, remark: $('remark').value }));
  } catch {
    tell('This browser keeps nothing: answer in one go.');
  }
}
function recall() {
  try {
    const kept = JSON.parse(localStorage.getItem(place()) || '{}');
    if (/^[12]*$/.test(kept.answers || '') && (kept.answers || '').length <= letter.data.trials.length) letter.answers = kept.answers || '';
    $('remark').value = typeof kept.remark === 'string' ? kept.remark : '';
  } catch {
    letter.answers = '';
  }
}
function forget() {
  try {
    localStorage.removeItem(place());
  } catch {
    // nothing was kept
  }
  letter.answers = '';
  $('remark').value = '';
  begin();
}

function gain() { return gainOf(letter.db); }
function trial() { return letter.data.trials[letter.answers.length]; }

function makeEngine() {
  letter.engine = new Engine(letter.context, trial().map(i => letter.clips[i]), GAP_SECONDS);
  letter.engine.heard = letter.heard;
  letter.engine.volume.gain.value = gain();
}

async function play() {
  if (!letter.clips || letter.playing || !trial()) return;
  letter.playing = true;
  show();
  try {
    if (!letter.context) letter.context = new AudioContext({ sampleRate: letter.clips[0].sampleRate, latencyHint: 'playback' });
    await wake(letter.context);
    if (!letter.playing) return;
    if (!letter.engine) makeEngine();
    letter.engine.play();
    letter.known.add(letter.heard);
    tick();
    show();
  } catch {
    letter.playing = false;
    show();
    tell(NO_OUTPUT);
  }
}

function pause() {
  if (!letter.playing) return;
  letter.playing = false;
  const silent = letter.engine ? letter.engine.pause() - letter.context.currentTime : 0;
  setTimeout(() => { if (!letter.playing) letter.context.suspend(); }, 1000 * silent + 60);
  show();
}

function toggle() { if (letter.playing) pause(); else play(); }

function tick() {
  if (!letter.playing || !letter.engine) return;
  letter.engine.planDips();
  setTimeout(tick, 250);
}

function hear(index) {
  if (!trial() || index < 0 || index >= trial().length) return;
  letter.heard = index;
  if (letter.engine) letter.engine.hear(index);
  if (letter.playing) letter.known.add(index);
  tell(`${letter.data.names[index]} is heard.`);
  show();
}

// The next pair: what sounded goes through silence, and the two are unheard again.
function next() {
  const { engine } = letter;
  if (engine) {
    engine.stop(engine.slot(2 * SWITCH_SECONDS));
    setTimeout(() => engine.volume.disconnect(), 500);
  }
  letter.engine = null;
  letter.heard = 0;
  letter.known.clear();
  if (letter.playing && trial()) {
    makeEngine();
    letter.engine.play();
    letter.known.add(0);
  } else if (letter.playing) {
    pause();
  }
}

function answer(which) {
  if (!trial() || !heardAll()) return;
  letter.answers += which;
  keep();
  next();
  show();
  tell(trial() ? 'Kept. The next pair.' : 'That was the last. Thank you.');
}

function heardAll() { return trial() && trial().every((_, i) => letter.known.has(i)); }

function show() {
  const { answers, data } = letter, all = data.trials.length, done = answers.length;
  $('step').textContent = done < all ? `${done + 1} of ${all}` : '';
  $('test').hidden = done >= all;
  $('play').textContent = letter.playing ? 'Pause' : 'Play';
  document.querySelectorAll('#voices button').forEach((b, i) => press(b, i === letter.heard));
  document.querySelectorAll('#choices button').forEach(b => { b.disabled = !heardAll(); });
  $('answers').hidden = done === 0;
  $('state').textContent = done < all ? `Your answers so far, ${done} of ${all}` : 'Your answers';
  $('code').textContent = codeOf(answers, data.id);
  $('figures').textContent = answers;
}

function setVolume(db) {
  letter.db = db;
  if (letter.engine) letter.engine.setVolume(gain());
  showVolume(db);
}

async function copy() {
  const text = `${$('code').textContent}\n${$('remark').value}`.trim();
  $('copy').textContent = await toClipboard(text) ? 'Copied' : 'Not copied: please mark and copy the signs by hand';
}

function onKey(event) {
  if (event.ctrlKey || event.altKey || event.metaKey || ['TEXTAREA', 'SELECT'].includes(event.target.tagName)) return;
  const key = event.key.toLowerCase(), tag = event.target.tagName;
  if (key === ' ' && ['BUTTON', 'SUMMARY', 'A'].includes(tag)) return;
  if (event.repeat) return;
  if (key === ' ') toggle();
  else if (key >= '1' && key <= '3') hear(key - 1);
  else if (key === 'f') answer('1');
  else if (key === 's') answer('2');
  else return;
  event.preventDefault();
}

function begin() {
  recall();
  next();
  show();
  tell(letter.answers ? 'Your earlier answers are kept.' : 'Listen to both, as often as you like, then choose.');
}

document.addEventListener('DOMContentLoaded', async () => {
  letter.data = JSON.parse($('data').textContent);
  letter.data.names.forEach((name, i) => $('voices').append(makeButton(name, () => hear(i))));
  letter.data.choices.forEach((text, i) => $('choices').append(makeButton(text, () => answer(String(i + 1)))));
  document.addEventListener('keydown', onKey);
  document.addEventListener('click', event => { if (event.detail > 0) event.target.closest('button')?.blur(); });
  $('play').addEventListener('click', toggle);
  $('volume').value = START_DB;
  $('volume').addEventListener('input', event => setVolume(+event.target.value));
  $('copy').addEventListener('click', copy);
  $('forget').addEventListener('click', forget);
  $('remark').addEventListener('input', keep);
  setVolume(START_DB);
  begin();
  try {
    letter.clips = await decode(letter.data.rate);
    $('play').disabled = false;
  } catch {
    tell(NO_DECODER);
  }
});
