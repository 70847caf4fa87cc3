// SPDX-License-Identifier: ISC
// Drives a headless Chromium over its debugging pipe: no library, no port. Use:
//   const browser = await launch();
//   const page = await browser.open('file:///...', { width, height, dark, scripts, first: 'code before any other' });
//   await page.run('1 + 1'); await page.key(' '); await page.shot('page.png'); await browser.close();
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { keepCoverage, startCoverage } from './page_coverage.mjs';

const ANSWER_MILLISECONDS = 30000;
const COVERAGE = process.env.CW_COVERAGE; // a folder for which lines ran (page_coverage.mjs)

// Messages are JSON, each with a zero byte behind: what is written goes to 3, what comes stands at 4.
class Pipe {
  constructor(child) {
    this.to = child.stdio[3];
    this.waiting = new Map();
    this.listeners = new Set();
    this.next = 1;
    let rest = '';
    child.on('exit', () => { for (const { reject } of this.waiting.values()) reject(new Error('the browser ended')); });
    child.stdio[4].setEncoding('utf8');
    child.stdio[4].on('data', text => {
      const parts = (rest + text).split('\0');
      rest = parts.pop();
      for (const part of parts) this.take(JSON.parse(part));
    });
  }

  take(message) {
    const waiting = this.waiting.get(message.id);
    if (!waiting) return this.listeners.forEach(listener => listener(message));
    this.waiting.delete(message.id);
    if (message.error) waiting.reject(new Error(message.error.message));
    else waiting.resolve(message.result);
  }

  send(method, params = {}, sessionId = undefined) {
    const id = this.next++;
    return new Promise((resolve, reject) => {
      const late = setTimeout(() => reject(new Error(`${method}: no answer`)), ANSWER_MILLISECONDS);
      const done = then => value => { clearTimeout(late); then(value); };
      this.waiting.set(id, { resolve: done(resolve), reject: done(reject) });
      this.to.write(JSON.stringify({ id, method, params, sessionId }) + '\0');
    });
  }
}

const CODES = { ' ': 'Space', '[': 'BracketLeft', ']': 'BracketRight', '\\': 'Backslash' };

class Page {
  constructor(pipe, session, target) {
    Object.assign(this, { pipe, session, target });
    this.said = []; // errors, and what the policy refused
    this.asked = []; // addresses that the page asked for
    pipe.listeners.add(message => {
      if (message.sessionId !== session) return;
      const { method, params } = message;
      if (method === 'Runtime.exceptionThrown') this.said.push(params.exceptionDetails.exception?.description || params.exceptionDetails.text);
      if (method === 'Log.entryAdded' && params.entry.level === 'error') this.said.push(params.entry.text);
      if (method === 'Network.requestWillBeSent') this.asked.push(params.request.url);
      if (method === 'Page.loadEventFired') this.loaded?.();
    });
  }

  send(method, params) { return this.pipe.send(method, params, this.session); }

  // The value of an expression, or of the promise that it gives.
  async run(expression) {
    const { result, exceptionDetails } = await this.send('Runtime.evaluate', { expression, awaitPromise: true, returnByValue: true, userGesture: true });
    if (exceptionDetails) throw new Error(exceptionDetails.exception?.description || exceptionDetails.text);
    return result.value;
  }

  async key(key) {
    const text = key.length === 1 ? key : undefined;
    const event = { key, text, code: CODES[key] || key, windowsVirtualKeyCode: key.length === 1 ? key.toUpperCase().charCodeAt(0) : { Enter: 13, Tab: 9, ArrowUp: 38, ArrowDown: 40, ArrowLeft: 37, ArrowRight: 39 }[key] };
    await this.send('Input.dispatchKeyEvent', { type: text ? 'keyDown' : 'rawKeyDown', ...event });
    await this.send('Input.dispatchKeyEvent', { type: 'keyUp', ...event });
  }

  async click(selector) {
    const { x, y } = await this.run(`(() => { const e = document.querySelector(${JSON.stringify(selector)}); e.scrollIntoView({ block: 'center' });
      const r = e.getBoundingClientRect(); return { x: r.x + r.width / 2, y: r.y + r.height / 2 }; })()`);
    for (const type of ['mousePressed', 'mouseReleased']) await this.send('Input.dispatchMouseEvent', { type, x, y, button: 'left', clickCount: 1 });
  }

  async until(expression, seconds = 10) {
    for (const end = Date.now() + 1000 * seconds; Date.now() < end;) {
      if (await this.run(expression)) return true;
      await new Promise(resolve => setTimeout(resolve, 25));
    }
    return false;
  }

  async shot(path, whole = false) {
    const { data } = await this.send('Page.captureScreenshot', { format: 'png', captureBeyondViewport: whole });
    writeFileSync(path, Buffer.from(data, 'base64'));
  }

  // Count which lines run, in the page and in its worklets.
  async count() {
    const sessions = [(method, params) => this.send(method, params)];
    this.pipe.listeners.add(async ({ method, params, sessionId }) => {
      if (method !== 'Target.attachedToTarget' || sessionId !== this.session) return;
      const send = (name, what) => this.pipe.send(name, what, params.sessionId);
      await startCoverage(send);
      await send('Runtime.runIfWaitingForDebugger');
      sessions.push(send);
    });
    await startCoverage(sessions[0]);
    await this.send('Target.setAutoAttach', { autoAttach: true, waitForDebuggerOnStart: true, flatten: true });
    this.counted = sessions;
  }

  async keep() {
    for (const send of this.counted || []) await keepCoverage(send, COVERAGE).catch(() => {}); // a worklet may have ended
    this.counted = null;
  }

  async close() {
    await this.keep();
    return this.pipe.send('Target.closeTarget', { targetId: this.target });
  }
}

export async function launch(flags = []) {
  const profile = mkdtempSync(join(tmpdir(), 'coilwright-browser-'));
  const root = process.getuid?.() === 0 ? ['--no-sandbox'] : []; // its sandbox does not run as root
  const child = spawn(process.env.CW_BROWSER || 'chromium', ['--headless=new', '--remote-debugging-pipe', '--no-first-run', '--disable-gpu',
    '--disable-background-networking', '--disable-component-update', '--disable-extensions', `--user-data-dir=${profile}`, ...root, ...flags],
    { stdio: ['ignore', 'ignore', 'ignore', 'pipe', 'pipe'] });
  const ended = new Promise(resolve => child.on('exit', resolve));
  const pipe = new Pipe(child), pages = [];
  const open = async (url, { width = 1280, height = 800, dark = false, scripts = true, scale = 1, first = '' } = {}) => {
    const { targetId } = await pipe.send('Target.createTarget', { url: 'about:blank' });
    const { sessionId } = await pipe.send('Target.attachToTarget', { targetId, flatten: true });
    const page = new Page(pipe, sessionId, targetId);
    for (const domain of ['Page', 'Runtime', 'Log', 'Network']) await page.send(`${domain}.enable`);
    await page.send('Emulation.setDeviceMetricsOverride', { width, height, deviceScaleFactor: scale, mobile: width < 500 });
    await page.send('Emulation.setEmulatedMedia', { features: [{ name: 'prefers-color-scheme', value: dark ? 'dark' : 'light' }] });
    if (!scripts) await page.send('Emulation.setScriptExecutionDisabled', { value: true });
    if (first) await page.send('Page.addScriptToEvaluateOnNewDocument', { source: first });
    const loaded = new Promise(resolve => { page.loaded = resolve; });
    if (COVERAGE && scripts) await page.count();
    pages.push(page);
    await page.send('Page.navigate', { url });
    await loaded;
    return page;
  };
  const close = async () => {
    for (const page of pages) await page.keep();
    pipe.send('Browser.close').catch(() => {});
    await Promise.race([ended, new Promise(resolve => setTimeout(resolve, 5000))]);
    if (child.exitCode === null) child.kill('SIGKILL');
    rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
  };
  return { open, close };
}
