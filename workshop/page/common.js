// SPDX-License-Identifier: ISC
// What all pages with sound share.
'use strict';

document.documentElement.classList.add('js');

const START_DB = -20, LEAST_DB = -40; // of the volume control; the least is silence
const WAIT_MILLISECONDS = 2000;       // for a device that sounds
const NO_OUTPUT = 'The browser gives no sound output. Is a device connected, and not in use elsewhere?';
const NO_DECODER = 'This browser cannot decode the sound in this page (FLAC). Another one can: Firefox, or a Chromium of this decade.';

const $ = id => document.getElementById(id);

// Said aloud by a screen reader too.
function tell(text) { $('say').textContent = text; }

function press(element, on) { element.setAttribute('aria-pressed', on); }

function gainOf(db) { return db <= LEAST_DB ? 0 : 10 ** (db / 20); }

function showVolume(db) { $('loudness').textContent = db <= LEAST_DB ? 'silent' : `${db < 0 ? '\u2212' : ''}${Math.abs(db)} dB`; }

// Where a device is missing or taken, some browsers wait for ever.
async function wake(context) {
  const late = new Promise((_, refuse) => setTimeout(() => refuse(new Error('no sound output')), WAIT_MILLISECONDS));
  await Promise.race([context.resume(), late]);
}

// Minutes and seconds.
function clockOf(seconds) { return `${Math.floor(seconds / 60)}:${(seconds % 60).toFixed(1).padStart(4, '0')}`; }

function makeButton(text, act) {
  const made = document.createElement('button');
  made.type = 'button';
  made.textContent = text;
  if (act) made.addEventListener('click', act);
  return made;
}

// A digit is a number at once; further ones soon after make a longer one, where there are so many.
const DIGIT_MILLISECONDS = 900, typed = { text: '', at: 0 };
function typedNumber(key, below) {
  const now = performance.now(), longer = typed.text + key;
  const both = now - typed.at < DIGIT_MILLISECONDS && +longer < below && typed.text !== '0';
  Object.assign(typed, { text: both ? longer : key, at: now });
  return +typed.text;
}

// Puts a text where it can be pasted from; says whether it could.
async function toClipboard(text) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    return false;
  }
}
