// SPDX-License-Identifier: ISC
// The player's engine. All clips run at once on one clock, from the same sample; one of them is let
// through. So a switch and a loop keep to the sample, whatever the page is busy with.
'use strict';

const SWITCH_SECONDS = 0.004; // from one clip to another
const SETTLE_SECONDS = 0.03;  // to and from silence, and between levels
const AHEAD_SECONDS = 0.03;    // browsers work out sound some blocks ahead: what is asked for holds from here
const DIP_SECONDS = 0.016;    // through silence where the end of a loop does not meet its start
const DIPS_AHEAD = 64;        // loops whose seams are planned

// From 1 to 0 and back without a corner.
const DIP = Float32Array.from({ length: 65 }, (_, i) => 0.5 + 0.5 * Math.cos(2 * Math.PI * i / 64));

// Does the clip jump or bend where its end meets its start? Told by the second difference there against
// the largest within 10 ms on both sides.
function roughSeam(samples, from, to, rate) {
  const reach = Math.min(Math.round(0.01 * rate), Math.floor((to - from) / 2) - 2);
  if (reach < 4) return true;
  const bend = (a, b, c) => Math.abs(a - 2 * b + c);
  let usual = 2 / 32768; // the last bit of a clip
  for (let i = 1; i < reach; i++) {
    usual = Math.max(usual, bend(samples[from + i - 1], samples[from + i], samples[from + i + 1]),
                     bend(samples[to - i - 2], samples[to - i - 1], samples[to - i]));
  }
  return Math.max(bend(samples[to - 2], samples[to - 1], samples[from]),
                  bend(samples[to - 1], samples[from], samples[from + 1])) > 1.5 * usual;
}

class Engine {
  // context: live or offline, at the clips' rate. clips: AudioBuffers of one length. gap: seconds of silence
  // between two clips, so that a switch sounds the same whether they differ or not.
  constructor(context, clips, gap = 0) {
    this.context = context;
    this.clips = clips;
    this.gap = gap;
    this.rate = clips[0].sampleRate;
    this.frames = clips[0].length;
    this.from = 0; // the part that is looped, whole samples
    this.to = this.frames;
    this.looping = true;
    this.heard = 0;
    this.levels = clips.map(() => 1);
    this.deck = null;
    this.anchor = { time: 0, frame: 0 };
    this.free = 0; // no ramp runs from here on
    this.open = 0; // what the gate stands at, or moves to
    this.ended = () => {};
    this.gate = context.createGain();
    this.volume = context.createGain();
    this.gate.gain.value = 0;
    this.volume.gain.value = 0;
    this.gate.connect(this.volume).connect(context.destination);
  }

  // The next moment at which ramps may begin, on a whole sample; `length` seconds from there are taken.
  slot(length) {
    const earliest = Math.max(this.context.currentTime + this.ahead(), this.free);
    const time = Math.ceil(earliest * this.rate - 1e-6) / this.rate;
    this.free = time + length;
    return time;
  }

  // Only what plays to a device can be closed; what is rendered into memory begins at once.
  ahead() { return 'close' in this.context ? AHEAD_SECONDS : 0; }

  static ramp(param, from, to, time, length) {
    param.setValueAtTime(from, time);
    param.linearRampToValueAtTime(to, time + length);
  }

  // All clips from one sample at one moment.
  start(frame, time) {
    const context = this.context, deck = { sources: [], gains: [], out: context.createGain(), seam: context.createGain() };
    deck.out.connect(deck.seam).connect(this.gate);
    deck.out.gain.value = 0;
    for (let i = 0; i < this.clips.length; i++) {
      const source = context.createBufferSource(), gain = context.createGain();
      source.buffer = this.clips[i];
      source.loop = this.looping;
      source.loopStart = this.from / this.rate;
      source.loopEnd = this.to / this.rate;
      gain.gain.value = i === this.heard ? this.levels[i] : 0;
      source.connect(gain).connect(deck.out);
      source.start(time, frame / this.rate);
      deck.sources.push(source);
      deck.gains.push(gain.gain);
    }
    deck.sources[0].onended = () => { if (this.deck === deck) this.finish(); };
    Engine.ramp(deck.out.gain, 0, 1, time, SWITCH_SECONDS);
    this.deck = deck;
    this.anchor = { time, frame };
    this.dips = { next: 0, rough: this.looping && this.clips.some(c => roughSeam(c.getChannelData(0), this.from, this.to, this.rate)) };
    this.planDips();
  }

  // Where end and start do not meet, each loop goes through silence for a moment.
  planDips() {
    if (!this.deck || !this.dips.rough) return;
    const length = (this.to - this.from) / this.rate, first = this.anchor.time + (this.to - this.anchor.frame) / this.rate;
    const now = this.context.currentTime, gain = this.deck.seam.gain;
    for (; first + this.dips.next * length < now + DIPS_AHEAD * length; this.dips.next++) {
      const time = first + this.dips.next * length;
      if (time - DIP_SECONDS / 2 > now) gain.setValueCurveAtTime(DIP, time - DIP_SECONDS / 2, DIP_SECONDS);
    }
  }

  stop(time) {
    if (!this.deck) return;
    const { sources, out } = this.deck;
    Engine.ramp(out.gain, 1, 0, time, SWITCH_SECONDS);
    for (const source of sources) source.stop(time + SWITCH_SECONDS);
    this.deck = null;
  }

  finish() {
    this.deck = null;
    this.anchor = { time: 0, frame: this.from };
    this.open = 0;
    this.ended();
  }

  // The sample that sounds, or will when play() is called.
  position() {
    const { time, frame } = this.anchor;
    if (!this.deck) return frame;
    const at = frame + Math.max(0, Math.round((this.context.currentTime - time) * this.rate));
    if (!this.looping) return Math.min(at, this.frames);
    return at < this.to ? at : this.from + (at - this.to) % (this.to - this.from);
  }

  play() {
    const time = this.slot(SETTLE_SECONDS);
    if (!this.deck) this.start(this.position() >= (this.looping ? this.to : this.frames) ? this.from : this.position(), time);
    Engine.ramp(this.gate.gain, this.open, 1, time, SETTLE_SECONDS);
    this.open = 1;
  }

  // Silence follows; the clips run on until the context is suspended. Returns when it is reached.
  pause() {
    const time = this.slot(SETTLE_SECONDS);
    Engine.ramp(this.gate.gain, this.open, 0, time, SETTLE_SECONDS);
    this.open = 0;
    return time + SETTLE_SECONDS;
  }

  // Let another clip through, with no moment of both at full level.
  hear(index) {
    if (index !== this.heard) this.change(index, this.levels, SWITCH_SECONDS);
  }

  // Gains of all clips: matched in level, or true.
  level(levels) { this.change(this.heard, levels, SETTLE_SECONDS); }

  change(index, levels, length) {
    if (this.deck) {
      const before = this.heard, gains = this.deck.gains, wait = before !== index && this.gap ? length + this.gap : 0;
      const time = this.slot(length + wait);
      if (before !== index) Engine.ramp(gains[before], this.levels[before], 0, time, length);
      Engine.ramp(gains[index], before === index ? this.levels[index] : 0, levels[index], time + wait, length);
    }
    this.heard = index;
    this.levels = levels;
  }

  // Go on from another sample, through silence.
  seek(frame) {
    frame = Math.max(0, Math.min(this.frames - 1, Math.round(frame)));
    if (!this.deck) {
      this.anchor = { time: 0, frame };
      return;
    }
    const time = this.slot(2 * SWITCH_SECONDS);
    this.stop(time);
    this.start(frame, time + SWITCH_SECONDS);
  }

  // Loop from one sample to before another, or do not.
  loop(looping, from, to) {
    const at = this.position();
    this.looping = looping;
    this.from = from;
    this.to = to;
    this.seek(looping && (at < from || at >= to) ? from : at);
  }

  setVolume(gain) { this.volume.gain.setTargetAtTime(gain, this.context.currentTime, 0.015); }
}
