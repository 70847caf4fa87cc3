// SPDX-License-Identifier: ISC
// The program's own core, compiled to WebAssembly (live.h says what its functions do). The page has one beside
// its controls and one where the sound is made.
'use strict';

const NO_SUCH_FILE = 8; // what a system without files answers to the C library (EBADF of WASI)

class Core {
  // bytes: of the module. rate: of the sound, Hz.
  constructor(bytes, rate) {
    const module = new WebAssembly.Module(bytes), system = {};
    for (const { module: from, name } of WebAssembly.Module.imports(module)) (system[from] ??= {})[name] = () => NO_SUCH_FILE;
    const { exports } = new WebAssembly.Instance(module, system);
    for (const name of Object.keys(exports)) if (name.startsWith('cw_live_')) this[name.slice(8)] = exports[name];
    this.memory = exports.memory;
    if (!this.start(rate)) throw new Error('the core has no room');
    this.sound = new Float32Array(this.memory.buffer, this.audio());
  }

  // The text that a function returned.
  words(at) {
    const bytes = new Uint8Array(this.memory.buffer, at);
    return new TextDecoder().decode(bytes.slice(0, bytes.indexOf(0)));
  }

  // A text for the function that is called next.
  tell(text) {
    const bytes = new TextEncoder().encode(text).slice(0, 4095), at = this.text();
    new Uint8Array(this.memory.buffer, at, bytes.length + 1).set([...bytes, 0]);
  }
}
