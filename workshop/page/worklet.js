// SPDX-License-Identifier: ISC
// Where the sound of the live page is made: the recording, round and round, through the core.
'use strict';

const SEAM_SECONDS = 0.004;   // to and from silence where the recording begins anew or elsewhere
const RELEASE_SECONDS = 0.05; // back to full level after a change
const TELL_SECONDS = 0.1;     // between two reports of the place

// Messages in: { set: [[port, value], ...] }, { seek: frame }. Out: { frame, lowered }: the sample that sounds next,
// and the gain, at most 1, that keeps all within full scale.
class Live extends AudioWorkletProcessor {
  constructor({ processorOptions: { bytes, samples, set, seamless } }) {
    super();
    Object.assign(this, { samples, seamless, at: 0, goal: -1, open: 1, ceiling: 1, releasing: false, untold: 0 });
    this.core = new Core(bytes, sampleRate);
    this.change(set);
    this.port.onmessage = ({ data }) => {
      if (data.set) this.change(data.set);
      if (data.seek !== undefined) this.goal = Math.max(0, Math.min(samples.length - 1, Math.round(data.seek)));
    };
  }

  change(set) {
    for (const [port, value] of set) this.core.set(port, value);
    this.releasing = true;
  }

  // The next samples of the recording; at a jump and, where end and start do not meet, at its seam through silence.
  read(to, count) {
    const { samples } = this, step = 1 / (SEAM_SECONDS * sampleRate), last = samples.length - 1 / step;
    for (let i = 0; i < count; i++) {
      const closing = this.goal >= 0 || (!this.seamless && this.at >= last);
      this.open = closing ? Math.max(0, this.open - step) : Math.min(1, this.open + step);
      if (this.goal >= 0 && this.open === 0) {
        this.at = this.goal;
        this.goal = -1;
      }
      to[i] = samples[this.at] * this.open * this.open * (3 - 2 * this.open);
      this.at = this.at + 1 < samples.length ? this.at + 1 : 0;
    }
  }

  // Nothing leaves full scale: where a peak would, all that follows is lowered by as much.
  hold(sound, out) {
    const rise = 1 / (RELEASE_SECONDS * sampleRate);
    for (let i = 0; i < out.length; i++) {
      if (this.releasing) this.ceiling = Math.min(1, this.ceiling + rise);
      const value = sound[i] * this.ceiling, size = Math.abs(value);
      if (size > 1) {
        this.ceiling /= size;
        this.releasing = false;
      }
      out[i] = size > 1 ? Math.sign(value) : value;
    }
    if (this.ceiling === 1) this.releasing = false;
  }

  process(_, [[out]]) {
    const { core } = this;
    this.read(core.sound, out.length);
    core.run(out.length);
    this.hold(core.sound, out);
    this.untold += out.length;
    if (this.untold >= TELL_SECONDS * sampleRate) {
      this.untold = 0;
      this.port.postMessage({ frame: this.at, lowered: this.ceiling });
    }
    return true;
  }
}

registerProcessor('live', Live);
