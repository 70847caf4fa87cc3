// SPDX-License-Identifier: ISC
// The pages in WebKitGTK, driven by WebDriver (W3C) under a display of its own.
//   node webkit_check.mjs DIRECTORY NATIVE      with the pages sine, pink and demo; NATIVE as for elsewhere.mjs
// Ends with 'N passed, N failed'.
import { spawn } from 'node:child_process';
import { listening, live } from './elsewhere.mjs';

const [here, native] = process.argv.slice(2), port = 20000 + process.pid % 10000;
let passed = 0, failed = 0;
function check(what, good) {
  if (good) passed++;
  else { failed++; console.log(`FAIL: ${what}`); }
}

const driver = spawn('WebKitWebDriver', [`--port=${port}`], { stdio: 'ignore' });
async function ask(method, path, body) {
  const answer = await fetch(`http://127.0.0.1:${port}${path}`, { method, body: body && JSON.stringify(body) });
  const { value } = await answer.json();
  if (!answer.ok) throw new Error(`${path}: ${value.error}: ${value.message}`);
  return value;
}
let session;
try {
  for (let i = 0; i < 100 && !session; i++) {
    await new Promise(resolve => setTimeout(resolve, 100));
    session = await ask('POST', '/session', { capabilities: { alwaysMatch: {} } }).catch(error => { if (!/fetch failed/.test(error.message)) throw error; });
  }
  const at = `/session/${session.sessionId}`;
  await ask('POST', `${at}/timeouts`, { script: 60000 });
  const open = url => ask('POST', `${at}/url`, { url });
  const run = async expression => {
    const value = await ask('POST', `${at}/execute/async`, { args: [], script: `const done = arguments[0]; Promise.resolve(${expression}).then(value => done({ value }), error => done({ error: String(error) }));` });
    if (value.error) throw new Error(value.error);
    return value.value;
  };
  await listening('WebKitGTK', { open, run }, here, check);
  await live('WebKitGTK', { open, run }, here, native, check);
  await ask('DELETE', at);
} catch (error) {
  check(error.stack, false);
} finally {
  driver.kill();
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
