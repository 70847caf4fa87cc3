// SPDX-License-Identifier: ISC
// A letter without names in a real browser: answered by keys, reloaded, captured.
//   node letter_check.mjs LETTER.html KEY.txt SCREENSHOTS        prints the code of one who always chooses candidate 1
// Ends with 'N passed, N failed'; the code stands in the line 'code CODE'.
import { readFileSync } from 'node:fs';
import { launch } from './browser.mjs';

const [path, keyPath, pictures] = process.argv.slice(2);
let passed = 0, failed = 0;
function check(what, good) {
  if (good) passed++;
  else { failed++; console.log(`FAIL: ${what}`); }
}

const order = readFileSync(keyPath, 'utf8').split('\n').filter(l => l.startsWith('trial ')).map(l => l.split(' ').slice(2).map(Number));
const choice = ([first]) => (first === 1 ? 'f' : 's');
const browser = await launch();
const open = async options => {
  const tab = await browser.open(`file://${path}`, options);
  await tab.until('letter.clips && !document.getElementById("play").disabled', 20);
  return tab;
};
const answerAll = async (tab, from, to) => {
  for (let i = from; i < to; i++) {
    await tab.key('1');
    await tab.key('2');
    await tab.key(choice(order[i]));
  }
};

try {
  let tab = await open();
  check('is ready', await tab.run('letter.clips.length >= 2 * letter.data.trials.length'));
  check('all clips are of one length', await tab.run('new Set(letter.clips.map(c => c.length)).size === 1'));
  await tab.key('f');
  check('nothing is answered unheard', await tab.run('letter.answers === ""'));
  check('and the answers cannot be pressed', await tab.run('[...document.querySelectorAll("#choices button")].every(b => b.disabled)'));
  await tab.key(' ');
  check('space plays', await tab.until('letter.playing && letter.engine && letter.context.state === "running"'));
  await answerAll(tab, 0, 5);
  check(`five answers: ${await tab.run('letter.answers')}`, await tab.run('letter.answers.length === 5'));
  const early = await tab.run('document.getElementById("code").textContent');
  await tab.run('document.getElementById("remark").value = "the second one rings"; keep()');
  await tab.close();
  tab = await open();
  check('a reload keeps answers and remark', await tab.run('letter.answers.length === 5 && document.getElementById("remark").value === "the second one rings"'));
  check('kept for this letter alone', await tab.run('Object.keys(localStorage).join() === `letter-${document.getElementById("commitment").textContent}`'));
  check('and the code', await tab.run('document.getElementById("code").textContent') === early);
  await tab.key(' ');
  await tab.until('letter.playing && letter.engine');
  await answerAll(tab, 5, order.length);
  check('all are answered', await tab.run('letter.answers.length === letter.data.trials.length'));
  check('then there is nothing more to press', await tab.run('document.getElementById("test").hidden'));
  console.log(`code ${await tab.run('document.getElementById("code").textContent')}`);
  console.log(`figures ${await tab.run('letter.answers')}`);
  await tab.shot(`${pictures}/letter-end.png`);
  await tab.click('#copy');
  check('copying says what came of it', await tab.until(`/opied/.test(document.getElementById('copy').textContent)`, 3));
  await tab.click('#forget');
  check('answers can be forgotten', await tab.run('letter.answers === "" && localStorage.length === 0'));
  check(`nothing went wrong: ${tab.said}`, tab.said.length === 0);
  check(`nothing was asked for: ${tab.asked.map(a => a.slice(0, 50))}`, tab.asked.filter(a => !a.startsWith('data:')).join() === `file://${path}`);
  // A switch goes through 10 ms of silence, the same for every pair.
  const silent = await tab.run(`(async () => {
    const found = [];
    for (const pair of letter.data.trials.slice(0, 6)) {
      const rate = letter.clips[0].sampleRate, offline = new OfflineAudioContext(1, Math.round(0.6 * rate), rate);
      const engine = new Engine(offline, pair.map(i => letter.clips[i]), GAP_SECONDS);
      engine.volume.gain.value = 1;
      engine.play();
      const at = Math.round(0.4 * rate / 128) * 128;
      offline.suspend(at / rate).then(() => { engine.hear(1); offline.resume(); });
      const sound = (await offline.startRendering()).getChannelData(0);
      let zeros = 0;
      for (let i = at + Math.ceil(0.004 * rate); sound[i] === 0; i++) zeros++;
      found.push(zeros / rate);
    }
    return found; })()`);
  check(`each switch is 10 ms of silence: ${silent.map(s => (1000 * s).toFixed(2))}`, silent.every(s => Math.abs(s - 0.01) < 0.0001));
  await tab.close();
  for (const [width, height, dark] of [[360, 740, true], [1280, 800, false]]) {
    const view = await open({ width, height, dark });
    await view.shot(`${pictures}/letter-${width}.png`);
    check(`${width}: nothing is wider than the page`, await view.run('document.documentElement.scrollWidth <= document.documentElement.clientWidth'));
    await view.close();
  }
  const broken = await open({ first: `AudioContext.prototype.resume = () => new Promise(() => {});
    Object.defineProperty(window, 'localStorage', { get() { throw new Error('none'); } });` });
  await broken.click('#play');
  check('a closed audio device: the letter says so', await broken.until(`/no sound output/.test(document.getElementById('say').textContent) && !letter.playing`, 5));
  await broken.run('keep()');
  check('where nothing can be kept the letter says so', await broken.run(`/keeps nothing/.test(document.getElementById('say').textContent)`));
  await broken.run('forget()');
  check('and goes on', await broken.run('letter.answers === "" && letter.data.trials.length > 0'));
  await broken.close();
} catch (error) {
  check(error.stack, false);
} finally {
  await browser.close();
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
