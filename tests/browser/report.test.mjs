// Reports in Chromium: valid, accessible, quiet, nothing clipped or on top of each other, hostile
// names as text, the pictures in the right colours at the right places, A4.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { after, test } from 'node:test';
import { HtmlValidate } from 'html-validate';
import { browser, coaming, grid, gridPath, hostile, open, pages, text } from './pages.mjs';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const names = Object.keys(pages);
const phone = { viewport: { width: 360, height: 740 } };

after(() => browser.close());

test('pages pass an HTML validator', () => {
  // XML needs ends of void elements and forbids attributes without values
  const validate = new HtmlValidate({
    extends: ['html-validate:recommended'],
    rules: { 'void-style': ['error', { style: 'selfclose' }],
      'prefer-native-element': ['error', { exclude: ['region'] }],
      'long-title': 'off', 'no-inline-style': 'off', 'no-trailing-whitespace': 'off',
      'require-sri': 'off', 'attribute-boolean-style': 'off' },
  });
  for (const name of names) {
    const result = validate.validateStringSync(text[name]);
    const said = result.results.flatMap((r) => r.messages).map(
      (m) => `${name}:${m.line}:${m.column} ${m.ruleId}: ${m.message}`);
    assert.deepEqual(said.slice(0, 20), []);
  }
  assert.equal(validate.validateStringSync('<!DOCTYPE html><p><div></div></p>').valid, false);
});

const views = {
  light: { colorScheme: 'light' }, dark: { colorScheme: 'dark' },
  phone: { ...phone, colorScheme: 'light' }, 'dark phone': { ...phone, colorScheme: 'dark' },
  print: { viewport: { width: 680, height: 960 } },
};
for (const [view, how] of Object.entries(views)) {
  test(`an accessibility checker finds nothing: ${view}`, async () => {
    for (const name of names) {
      await open(name, { ...how, bypassCSP: true }, async (page) => {
        if (view === 'print') await page.emulateMedia({ media: 'print' });
        await page.evaluate(axe);
        const found = await page.evaluate(() => window.axe.run(document,
          { resultTypes: ['violations'] }));
        assert.ok(found.passes.length > 15);
        assert.deepEqual(found.violations.map((v) => [name, v.id, v.nodes[0].html.slice(0, 200),
          v.nodes[0].failureSummary]), []);
      });
    }
  });
}

test('the checker would find a fault', async () => {
  await open('barge', { bypassCSP: true }, async (page) => {
    await page.evaluate(axe);
    await page.evaluate(() => { document.documentElement.removeAttribute('lang'); });
    const found = await page.evaluate(() => window.axe.run(document));
    assert.ok(found.violations.some((v) => v.id === 'html-has-lang'));
  });
});

test('nothing is said, asked for or fetched, and the policy lets no other script run', async () => {
  for (const name of names) {
    await open(name, {}, async (page, heard) => {
      assert.deepEqual(heard, []);
      await page.evaluate(() => {
        const script = document.createElement('script');
        script.textContent = 'window.ran = true';
        document.body.append(script);
      });
      assert.equal(await page.evaluate(() => window.ran), undefined);
      assert.ok(heard.some((said) => said.includes('Content Security Policy')));
    });
  }
});

test('without script nothing is missing; with it long tables can be filtered', async () => {
  const plain = await open('demo', { javaScriptEnabled: false },
    async (page) => page.locator('main').innerText());
  await open('demo', {}, async (page) => {
    const fields = page.locator('.filter input');
    assert.ok(await fields.count() >= 2);
    const rows = page.locator('#due-list').locator('xpath=ancestor::table').locator('tbody tr');
    const all = await rows.count();
    const field = page.locator('.filter').filter({
      has: page.locator('xpath=following-sibling::*[1]//caption[@id="due-list"]') }).locator('input');
    await field.fill('steering');
    const visible = await rows.evaluateAll((list) => list.filter((r) => r.offsetParent).map(
      (r) => r.textContent.toLowerCase()));
    assert.ok(visible.length > 0 && visible.length < all);
    assert.ok(visible.every((row) => row.includes('steering')));
    await page.emulateMedia({ media: 'print' });
    assert.equal(await rows.evaluateAll((list) => list.filter((r) => r.offsetParent).length), all);
    assert.equal(await page.locator('.filter').first().isVisible(), false);
    await page.emulateMedia({ media: 'screen' });
    await field.fill('');
    await page.evaluate(() => document.querySelectorAll('.filter').forEach((f) => f.remove()));
    assert.equal(await page.locator('main').innerText(), plain);
  });
});

// In the page: what sticks out of the window, what is clipped, and which boxes lie on each other.
function misplaced(width) {
  const wrong = [];
  const box = (e) => e.getBoundingClientRect();
  const told = (e) => `${e.tagName} ${e.className} ${e.textContent.slice(0, 40)}`;
  if (document.documentElement.scrollWidth > width) wrong.push('the page scrolls sideways');
  for (const e of document.querySelectorAll('h1,h2,h3,p,dt,dd,li,a,figcaption')) {
    if (e.closest('.skip') || !e.offsetParent) continue;
    const b = box(e);
    if (b.left < -0.5 || b.right > width + 0.5) wrong.push(`off the window: ${told(e)}`);
    if (e.scrollWidth > e.clientWidth + 1 && e.clientWidth) wrong.push(`clipped: ${told(e)}`);
  }
  for (const e of document.querySelectorAll('th,td'))
    if (e.scrollWidth > e.clientWidth + 1) wrong.push(`clipped: ${told(e)}`);
  for (const parent of document.querySelectorAll('header,main,section,article,dl,tbody,tr,figure')) {
    const children = [...parent.children].filter((e) => e.offsetParent).map((e) => [e, box(e)]);
    children.forEach(([e, a], i) => children.slice(i + 1, i + 8).forEach(([f, b]) => {
      if (Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1
        && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1)
        wrong.push(`on each other: ${told(e)} / ${told(f)}`);
    }));
  }
  for (const svg of document.querySelectorAll('svg')) {
    const edge = box(svg);
    for (const text of svg.querySelectorAll('text')) {
      const b = box(text);
      if (b.left < edge.left - 0.5 || b.right > edge.right + 0.5 || b.top < edge.top - 0.5
        || b.bottom > edge.bottom + 0.5) wrong.push(`cut off in the picture: ${told(text)}`);
    }
  }
  return wrong.slice(0, 10);
}

for (const width of [360, 680, 1280]) {
  test(`nothing sticks out, is clipped or lies on something else at ${width} px`, async () => {
    for (const name of names) {
      await open(name, { viewport: { width, height: 800 } }, async (page) => {
        assert.deepEqual([name, ...await page.evaluate(misplaced, width)], [name]);
        if (width !== 680) return;
        await page.emulateMedia({ media: 'print' }); // 180 mm between the margins of A4
        assert.deepEqual([name, ...await page.evaluate(misplaced, width)], [name]);
        assert.equal(await page.evaluate(() => [...document.querySelectorAll('.scroll')].filter(
          (e) => e.scrollWidth > e.clientWidth + 1).length), 0, 'a table is wider than the paper');
      });
    }
  });
}

test('text in the pictures can be read on a screen, a phone and paper', async () => {
  const least = () => Math.min(...[...document.querySelectorAll('.picture svg')].map((svg) =>
    svg.getBoundingClientRect().width / svg.viewBox.baseVal.width * 7));
  await open('demo', phone, async (page) => assert.ok(await page.evaluate(least) >= 9));
  await open('demo', {}, async (page) => assert.ok(await page.evaluate(least) >= 9));
  await open('demo', views.print, async (page) => {
    await page.emulateMedia({ media: 'print' }); // px of 1/96 inch: 6 points and more
    assert.ok(await page.evaluate(least) >= 8);
  });
});

test('hostile names are text', async () => {
  await open('hostile', {}, async (page, heard) => {
    assert.equal(await page.title(), `${hostile[0]}: state of her closures`);
    assert.equal(await page.locator('h1').textContent(), hostile[0]);
    assert.equal(await page.locator('script').count(), 1);
    assert.equal(await page.locator('img,iframe,object,[onerror]').count(), 0);
    const shown = await page.locator('bdi').allTextContents();
    for (const name of hostile.slice(1)) assert.ok(shown.includes(name), name);
    assert.deepEqual(heard, []);
  });
});

// Shares of the pixels about the middle of each box that are near the colour of water (palette.h)
// or its hatch, in a screenshot; places worked out from the table of boxes.
test('pictures colour the spaces that are exposed, and no others', async () => {
  const rows = JSON.parse(coaming('expose', gridPath, '--all', '--hazard', 'water', '--level',
    'still', '--as-of', '2026-11-10', '--format', 'json')).results;
  const ranked = JSON.parse(coaming('rank', gridPath, '--hazard', 'water', '--level', 'still',
    '--as-of', '2026-11-10', '--format', 'json')).closures;
  await open('grid', {}, async (page) => {
    const articles = page.locator('article');
    assert.equal(await articles.count(), 2);
    for (let n = 0; n < 2; n++) {
      const svg = articles.nth(n).locator('svg');
      const place = await svg.evaluate((s) => {
        const deck = s.querySelector('g.deck');
        return { x0: +deck.dataset.x0, y0: +deck.dataset.y0, scale: +s.dataset.scale,
          zoom: s.getBoundingClientRect().width / s.viewBox.baseVal.width };
      });
      const shot = `data:image/png;base64,${(await svg.screenshot()).toString('base64')}`;
      const blank = await browser.newPage();
      const shares = await blank.evaluate(async ({ shot, grid, place }) => {
        const image = new Image();
        image.src = shot;
        await image.decode();
        const canvas = new OffscreenCanvas(image.width, image.height).getContext('2d');
        canvas.drawImage(image, 0, 0);
        return grid.map(([id, x0, x1, y0, y1]) => {
          const left = Math.ceil((place.x0 + (x0 + 2) * place.scale) * place.zoom);
          const right = Math.floor((place.x0 + (x1 - 2) * place.scale) * place.zoom);
          const top = Math.ceil((place.y0 - (y1 - 1) * place.scale) * place.zoom);
          const bottom = Math.floor((place.y0 - (y0 + 1) * place.scale) * place.zoom);
          const d = canvas.getImageData(left, top, right - left, bottom - top).data;
          let blue = 0;
          for (let i = 0; i < d.length; i += 4)
            blue += d[i + 2] - d[i] > 40 ? 1 : 0;
          return [id, blue / (d.length / 4)];
        });
      }, { shot, grid, place });
      await blank.close();
      const exposed = ranked[n].exposes;
      assert.ok(rows.some((r) => r.closure === ranked[n].closure
        && r.exposed.join() === exposed.join()));
      for (const [id, share] of shares)
        assert.ok(exposed.includes(id) ? share > 0.6 : share < 0.02, `${ranked[n].closure} ${id} ${share}`);
    }
  });
});

test('it prints on A4 in a sensible number of sheets', async () => {
  const least = { demo: 10, barge: 3, hostile: 3, grid: 3 }, most = { demo: 34, barge: 12, hostile: 10, grid: 6 };
  for (const name of names) {
    await open(name, {}, async (page) => {
      const pdf = (await page.pdf({ preferCSSPageSize: true })).toString('latin1');
      const sheets = (pdf.match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
      assert.ok(sheets >= least[name] && sheets <= most[name], `${name}: ${sheets} sheets`);
      for (const size of pdf.match(/\/MediaBox\s*\[[^\]]*\]/g)) {
        const [, , wide, high] = size.match(/[\d.]+/g).map(Number);
        assert.ok(Math.abs(wide - 595.28) < 1 && Math.abs(high - 841.89) < 1, size);
      }
    });
  }
});
