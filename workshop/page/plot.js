// SPDX-License-Identifier: ISC
// The picture of what differs: curves worked out by the program, drawn at the size of the page.
'use strict';

const CURVES_MOST = 6; // as many as can be told apart
const HZ_LINES = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000];

class Plot {
  // svg: to draw into. data: { hz: [...], db: [[...] for each sound], labels: [...] }, and where there are some partials: [{ hz: [...],
  // db: [...] } for each sound], already against the reference.
  constructor(svg, data) {
    this.svg = svg;
    this.data = data;
    this.reference = -1;
    this.shown = [];
    this.bold = -1;
  }

  // Values of a curve against the reference; null where there is nothing to draw.
  values(index) {
    const { db } = this.data, base = this.reference >= 0 ? db[this.reference] : null;
    return db[index].map((v, i) => (v === null || (base && base[i] === null) ? null : base ? v - base[i] : v));
  }

  // A sample of a curve's line, for its name.
  swatch(k) {
    const svg = document.createElementNS(this.svg.namespaceURI, 'svg'), line = document.createElementNS(this.svg.namespaceURI, 'path');
    svg.setAttribute('class', 'swatch');
    svg.setAttribute('viewBox', '0 0 34 8');
    svg.setAttribute('aria-hidden', 'true');
    line.setAttribute('d', 'M0 4H34');
    line.setAttribute('class', `curve s${k}`);
    svg.append(line);
    return svg;
  }

  // Ends of the vertical axis: what is heard most is seen largest, and 0 is always in view.
  range(curves) {
    const all = curves.flat().filter(v => v !== null);
    let low = Math.min(0, ...all), high = Math.max(0, ...all);
    const least = this.reference >= 0 ? 6 : 12, most = this.reference >= 0 ? 48 : 60;
    if (high - low < least) { const grow = (least - high + low) / 2; low -= grow; high += grow; }
    low = Math.max(low, high - most);
    const step = [1, 2, 3, 5, 10, 20].find(s => (high - low) / s <= 8) || 20;
    return { low: Math.floor(low / step) * step, high: Math.ceil(high / step) * step, step };
  }

  element(name, attributes, text) {
    const element = document.createElementNS(this.svg.namespaceURI, name);
    for (const key of Object.keys(attributes)) element.setAttribute(key, attributes[key]);
    if (text !== undefined) element.textContent = text;
    this.svg.append(element);
    return element;
  }

  draw() {
    const width = Math.max(280, this.svg.clientWidth), height = Math.max(200, this.svg.clientHeight);
    const left = 42, right = 12, top = 10, bottom = 34, { hz } = this.data;
    const curves = this.shown.map(i => this.values(i)), { low, high, step } = this.range(curves);
    const first = Math.log(hz[0]), whole = Math.log(hz[hz.length - 1]) - first;
    const x = f => left + (width - left - right) * (Math.log(f) - first) / whole;
    const y = v => top + (height - top - bottom) * (high - v) / (high - low);
    this.svg.setAttribute('viewBox', `0 0 ${width} ${height}`);
    this.svg.replaceChildren();
    for (let v = low; v <= high + 1e-9; v += step) {
      this.element('line', { x1: left, x2: width - right, y1: y(v), y2: y(v), class: v === 0 ? 'zero' : 'grid' });
      this.element('text', { x: left - 6, y: y(v) + 4, class: 'end' }, v > 0 && this.reference >= 0 ? `+${v}` : v < 0 ? `\u2212${-v}` : `${v}`);
    }
    for (const f of HZ_LINES.filter(f => width > 480 || String(f)[0] !== '5')) {
      this.element('line', { x1: x(f), x2: x(f), y1: top, y2: height - bottom, class: 'grid' });
      this.element('text', { x: Math.min(x(f), width - 14), y: height - bottom + 16, class: 'middle' }, f >= 1000 ? `${f / 1000}k` : f);
    }
    this.element('text', { x: width - right, y: height - 3, class: 'end soft' }, 'Hz');
    this.element('text', { x: 4, y: height - 3, class: 'soft' }, this.reference >= 0 ? 'dB, difference' : 'dB');
    this.shown.forEach((sound, k) => {
      let path = '', pen = false;
      curves[k].forEach((v, i) => {
        pen = v === null ? false : (path += `${pen ? 'L' : 'M'}${x(hz[i]).toFixed(1)} ${y(Math.max(v, low)).toFixed(1)}`, true);
      });
      this.element('path', { d: path || 'M0 0', class: `curve s${k}${sound === this.bold ? ' bold' : ''}` });
      this.marks(this.data.partials?.[sound], curves[k], k, x, v => y(Math.max(v, low)));
    });
  }

  // Dots, each on a stem from its curve.
  marks(partials, curve, k, x, y) {
    const { hz } = this.data, steps = (hz.length - 1) / Math.log(hz[hz.length - 1] / hz[0]);
    let stems = '', dots = '';
    (partials?.hz ?? []).forEach((f, i) => {
      const from = curve[Math.round(steps * Math.log(f / hz[0]))], at = x(f).toFixed(1), end = y(partials.db[i]).toFixed(1);
      if (from === null || from === undefined) return;
      stems += `M${at} ${y(from).toFixed(1)}V${end}`;
      dots += `M${at} ${end}h0`;
    });
    if (!dots) return;
    this.element('path', { d: stems, class: `stem s${k}` });
    this.element('path', { d: dots, class: `dot s${k}` });
  }

  // Bring a sound into view; the one that was heard longest ago makes room. Each keeps its colour.
  show(index) {
    this.bold = index;
    this.used = (this.used || this.shown.slice()).filter(i => i !== index && this.shown.includes(i)).concat(index);
    if (index === this.reference || this.shown.includes(index)) return;
    if (this.shown.length < CURVES_MOST) this.shown.push(index);
    else this.shown[this.shown.indexOf(this.used[0])] = index;
  }
}
