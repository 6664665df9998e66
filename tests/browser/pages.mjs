// Reports to look at, and a browser to look with. The ships are invented.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

const examples = join(process.env.COAMING_ROOT, 'examples');
const folder = mkdtempSync(join(tmpdir(), 'coaming-browser-'));
const asOf = ['--as-of', '2026-11-10'];
const HANGS = 600_000; // ms: a limit that finds what hangs, and no slow machine meets

export function coaming(...words) {
  return execFileSync(process.env.COAMING, words, { maxBuffer: 2 ** 28 }).toString();
}

function report(name, ...words) {
  const path = join(folder, `${name}.html`);
  coaming('report', ...words, ...asOf, '-o', path);
  return path;
}

export const hostile = [
  "<script>document.title='taken'</script>", '"quoted" & \'single\' --> ]]> &amp;',
  `${'long '.repeat(39)}name!`, '\u05de\u05d7\u05e1\u05df \u05e7\u05d3\u05de\u05d9',
  '\u{1f6a2} \u2693 store', 'W'.repeat(200), '<img src=x onerror=alert(1)>', '%s%n%d'];

function escaped(text) {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('"', '&quot;');
}

// A row of spaces with a failed door between each two; all names hostile.
function hostileShip() {
  const parts = hostile.map((name, i) => `<space id="s${i}" name="${escaped(name)}" worth="${i + 1}">
    <box x="${i * 6} ${i * 6 + 6}" y="-4 4" z="0 3"/></space>` + (i ? `<closure id="K${i}"
    name="${escaped(name)}" kind="door" between="s${i - 1} s${i}" rating="watertight">
    <clear x="${i * 6}" y="0" z="0.3" width="0.8" height="1.8" lies="transverse"/>
    <test date="2026-10-0${i}" method="chalk" result="fail" by="${escaped(name.slice(0, 20))}"
    note="${escaped(name)}"/></closure>` : ''));
  const path = join(folder, 'hostile.xml');
  writeFileSync(path, `<arrangement xmlns="urn:coaming:arrangement:1" name="${escaped(hostile[0])}">
    <ship length="48" beam="8" depth="3" draft="1"/>
    <deck id="k" name="&lt;/svg&gt;&lt;script&gt;" z="0"/><condition id="c" name="&lt;b&gt;c"/>
    ${parts.filter((p) => p).map((p) => p.split('<closure')[0]).join('')}
    ${parts.map((p) => (p.includes('<closure') ? '<closure' + p.split('<closure')[1] : '')).join('')}
    </arrangement>`);
  return path;
}

// Boxes abreast and along on one deck: where each is drawn can be told from this table alone.
export const grid = [['a', 0, 10, -4, 4], ['b', 10, 20, -4, 0], ['c', 10, 20, 0, 4], ['d', 20, 30, -4, 4]];
function gridShip() {
  const path = join(folder, 'grid.xml');
  writeFileSync(path, `<arrangement xmlns="urn:coaming:arrangement:1" name="Grid">
    <ship length="30" beam="8" depth="3" draft="2"/><deck id="k" name="Hold" z="0"/>
    ${grid.map(([id, x0, x1, y0, y1]) => `<space id="${id}" name="Space ${id}" shell="yes"
      worth="${id === 'd' ? 5 : 1}"><box x="${x0} ${x1}" y="${y0} ${y1}" z="0 3"/></space>`).join('')}
    <closure id="D1" name="Door to d" kind="door" between="b d" rating="watertight">
    <clear x="20" y="-2" z="0.3" width="0.8" height="1.8" lies="transverse"/></closure>
    <closure id="D2" name="Door to b" kind="door" between="a b" rating="watertight">
    <clear x="10" y="-2" z="0.3" width="0.8" height="1.8" lies="transverse"/>
    <test date="2026-10-01" method="chalk" result="fail"/></closure></arrangement>`);
  return path;
}

const demo = [join(examples, 'fathom-lark.xml'), '--log', join(examples, 'fathom-lark-log.xml')];
const hostilePath = hostileShip();
export const gridPath = gridShip();
export const pages = {
  demo: report('demo', ...demo, '--since', '2026-09-01'),
  barge: report('barge', join(examples, 'barge.xml')),
  hostile: report('hostile', hostilePath, '--since', '2026-10-03', '--condition', 'c', '--top', '3'),
  grid: report('grid', gridPath, '--hazard', 'water', '--level', 'still'),
};
export const text = Object.fromEntries(
  Object.entries(pages).map(([name, path]) => [name, readFileSync(path, 'utf8')]));

export const browser = await chromium.launch({
  executablePath: '/usr/bin/chromium',
  timeout: HANGS,
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--disable-background-networking',
    '--disable-component-update', '--disable-sync', '--force-device-scale-factor=1'],
});

// A page with what it said and asked for; closed again after `look`.
export async function open(name, how, look) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...how });
  context.setDefaultTimeout(HANGS);
  context.setDefaultNavigationTimeout(HANGS);
  const page = await context.newPage();
  const heard = [];
  page.on('console', (message) => heard.push(`console: ${message.text()}`));
  page.on('pageerror', (error) => heard.push(`error: ${error.message}`));
  page.on('dialog', (dialog) => { heard.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  page.on('request', (request) => {
    if (request.url() !== `file://${pages[name]}`) heard.push(`request: ${request.url()}`);
  });
  await page.goto(`file://${pages[name]}`);
  try {
    return await look(page, heard);
  } finally {
    await context.close();
  }
}
