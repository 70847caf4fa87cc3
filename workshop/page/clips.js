// SPDX-License-Identifier: ISC
// The sound that a page holds, from its plain list into buffers.
'use strict';

// The sound inside an audio element of the plain list, which then goes: the page holds it once.
function takeBytes(element) {
  const source = element.getAttribute('src'), text = atob(source.slice(source.indexOf(',') + 1));
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
  element.removeAttribute('src');
  return bytes.buffer;
}

// At the clips' own rate nothing is resampled; where a browser refuses it, its decoder resamples well.
function decoder(rate) {
  try {
    return new OfflineAudioContext(1, 1, rate);
  } catch {
    return new OfflineAudioContext(1, 1, 48000);
  }
}

async function decode(rate) {
  const context = decoder(rate), sounds = document.querySelectorAll('#plain audio');
  return Promise.all(Array.from(sounds, sound => context.decodeAudioData(takeBytes(sound))));
}
