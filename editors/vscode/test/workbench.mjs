// A workbench of the VS Code family in Chromium, through the scenario of
// ../../editors_test.go. Usage: node workbench.mjs URL WORKSPACE PICTURES
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { chromium } from 'playwright-core';

const [url, workspace, pictures] = process.argv.slice(2);
const file = path.join(workspace, 'headlamps.pintle');
const good = fs.readFileSync(file, 'utf8');
const timeout = 60000;
let failures = 0;

function check(name, ok, detail) {
  console.log(`${ok ? 'ok   ' : 'FAIL '}${name}${detail === undefined ? '' : ` -- ${detail}`}`);
  failures += ok ? 0 : 1;
}

const profile = fs.mkdtempSync(path.join(os.tmpdir(), 'pintle-chromium-'));
const context = await chromium.launchPersistentContext(profile, {
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  headless: true,
  viewport: { width: 1280, height: 900 },
  args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--disable-component-update', '--disable-sync',
    '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1'],
});
const page = context.pages()[0] ?? (await context.newPage());
page.setDefaultTimeout(timeout);

const press = async (...keys) => {
  for (const k of keys) await page.keyboard.press(k);
};
const picture = (name) => page.screenshot({ path: path.join(pictures, `${name}.png`) });
const holds = async (what, arg) => page.waitForFunction(what, arg, { timeout }).then(() => true, () => false);
const noSquiggle = () => holds(() => !document.querySelector('.squiggly-error, .squiggly-warning'));

/**
 * Takes a step until it has brought what a selector finds, and leaves nothing open between the
 * tries. On a busy machine the text moves under the mouse while panels and lenses come and go, or a
 * key arrives before the editor has the focus, so one try is not enough. The step must bear being repeated.
 */
async function until(step, selector, tries = 6) {
  for (let n = 1; ; n++) {
    await step();
    try {
      return await page.waitForSelector(selector, { timeout: timeout / tries });
    } catch (err) {
      if (n === tries) throw err;
      await press('Escape');
    }
  }
}

/**
 * Runs a command by its name. Typing waits for the focus: else it would go into the text. A command
 * that asks for something opens another such box, which has that title.
 */
async function command(name, asks) {
  await press('F1');
  await page.waitForFunction(() => document.activeElement?.closest?.('.quick-input-widget'));
  await page.keyboard.type(name);
  await page.locator('.quick-input-list .monaco-list-row.focused', { hasText: name }).first().waitFor();
  await press('Enter');
  if (asks) {
    await page.locator('.quick-input-title', { hasText: asks }).waitFor();
    await page.waitForFunction(() => document.activeElement?.closest?.('.quick-input-widget'));
  } else await page.locator('.quick-input-widget').waitFor({ state: 'hidden' });
}

/** Selects the first place with a text, by the search of the editor. */
async function select(text) {
  await press('Control+Home', 'Control+f');
  await page.waitForFunction(() => document.activeElement?.closest?.('.find-widget'));
  await press('Control+a', 'Delete'); // the same text again would not be looked for
  await page.keyboard.insertText(text);
  await page.waitForFunction(() => /^1 of /.test(document.querySelector('.find-widget .matchesCount')?.textContent ?? ''));
  await press('Escape');
  await page.waitForFunction(() => document.activeElement?.closest?.('.monaco-editor') && !document.activeElement.closest('.find-widget'));
}

/** The line of the shown text that has a piece, with plain spaces. */
const line = (piece) =>
  page.locator('.view-line').evaluateAll(
    (all, p) => all.map((l) => l.textContent.replace(/\u00a0/g, ' ')).find((l) => l.includes(p)) ?? '', piece);
/** Waits for a line that begins with a text; currents and the like may stand behind it. */
const showsLine = (text) =>
  holds((t) => [...document.querySelectorAll('.view-line')].some((l) => l.textContent.replace(/\u00a0/g, ' ').startsWith(t)), text);

/** Where a word is drawn. */
const spot = (word) =>
  page.locator('.view-line', { hasText: word }).first().evaluate((l, w) => {
    const walk = document.createTreeWalker(l, NodeFilter.SHOW_TEXT);
    for (let n; (n = walk.nextNode());) {
      const i = n.data.indexOf(w);
      if (i >= 0) {
        const r = document.createRange();
        r.setStart(n, i + 1);
        r.setEnd(n, i + 2);
        const box = r.getBoundingClientRect();
        return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
      }
    }
    return null;
  }, word);

// Up to the colour, before which a swatch is drawn.
const wire = good.split('\n').find((l) => l.startsWith('wire W1:')).split(' red')[0];
async function mistake() {
  await select('F1.in,');
  await press('ArrowRight', 'ArrowLeft', 'n', 'Escape');
  return holds(() => document.querySelector('.squiggly-error'));
}

async function scenario() {
  const payload = JSON.stringify([['openFile', `vscode-remote://${new URL(url).host}${file}`]]);
  await page.goto(`${url}/?folder=${encodeURIComponent(workspace)}&payload=${encodeURIComponent(payload)}`, { waitUntil: 'domcontentloaded' });
  await page.waitForSelector('.monaco-editor .view-line', { timeout: 2 * timeout });
  // Lenses come from the server: once they are there it has seen the text.
  const lenses = await holds(() => document.querySelector('.codelens-decoration'));
  check('clean at first', lenses && (await noSquiggle()));
  const classes = await page.locator('.view-line', { hasText: 'supply' }).first()
    .locator('span span').evaluateAll((l) => new Set(l.map((s) => s.className)).size);
  check('colours', classes > 3, `${classes} in a line`);
  await picture('1-opened');

  const found = await mistake();
  await press('Control+Shift+m');
  await page.waitForSelector('.markers-panel .monaco-list-row');
  const rows = (await page.locator('.markers-panel .monaco-list-row').allInnerTexts()).map((r) => r.replace(/\s+/g, ' ').trim());
  check('finding', found && rows.some((r) => r.includes('F1 has no inn') || r.includes('`F1` has no `inn`')), rows.join(' / '));
  await picture('2-finding');
  await press('Control+1', 'Control+z');
  check('undo', (await noSquiggle()) && (await showsLine(wire)));
  await press('Control+j'); // the panel goes

  await until(async () => {
    await page.mouse.move(5, 5);
    await select('TwinFilament');
    const at = await spot('TwinFilament');
    await page.mouse.move(at.x, at.y, { steps: 4 });
  }, '.monaco-hover:not(.hidden) .hover-contents:has-text("two filaments")');
  check('hover', true);
  await picture('3-hover');
  await page.mouse.move(5, 5);
  await press('Escape');

  await select('fit E1: TwinFilament');
  await press('ArrowRight', 'Control+Backspace');
  await page.keyboard.type('TwinF');
  await until(() => press('Control+Space'), '.suggest-widget.visible .monaco-list-row:has-text("TwinFilament")');
  await picture('4-completion');
  await press('Enter');
  check('completion', await showsLine('fit E1: TwinFilament'), await line('fit E1'));

  await command('Pintle: Ask about This Design', 'Ask about this design');
  await page.keyboard.insertText('current through W1');
  await press('Enter');
  await page.waitForSelector('.tab.active:has-text("ask-")');
  check('answer', await showsLine('current through W1'), await line('within tolerances'));
  await picture('4-answer');
  await command('Go Back');
  await page.waitForSelector('.tab.active:has-text("headlamps.pintle")');

  await until(async () => {
    await select('TwinFilament');
    await press('F12');
  }, '.tab.active:has-text("lamps.pintle")');
  check('definition', (await holds(() => /Ln 53,/.test(document.querySelector('#status\\.editor\\.selection')?.textContent ?? ''))));
  await picture('5-definition');
  await command('Go Back');
  await holds(() => /headlamps\.pintle/.test(document.querySelector('.tab.active')?.textContent ?? ''));

  await until(async () => {
    await select('TwinFilament');
    await press('Shift+F12');
  }, '.peekview-widget .ref-tree .monaco-list-row');
  const title = await page.locator('.peekview-widget .head').first().innerText();
  check('references', /\(3\)/.test(title), title.replace(/\s+/g, ' '));
  await picture('6-references');
  await press('Escape');

  await mistake();
  await until(() => press('Control+.'), '.action-widget .monaco-list-row.action');
  const actions = (await page.locator('.action-widget .monaco-list-row.action').allInnerTexts()).map((a) => a.trim());
  await picture('7-fix');
  await press('Enter');
  check('fix', await showsLine(wire), actions.join('; '));
  check('finding gone', await noSquiggle());

  await select('wire W1:');
  await press('ArrowLeft');
  for (let i = 0; i < 'wire'.length; i++) await press('ArrowRight');
  await page.keyboard.type('     ');
  await command('Format Document');
  check('format', await showsLine(wire), await line('W1:'));

  await until(async () => {
    await select('TwinFilament');
    await press('F2');
  }, '.rename-box:focus-within');
  await press('Control+a');
  await page.keyboard.type('HeadlampBulb');
  await press('Enter');
  check('rename', await showsLine('fit E2: HeadlampBulb'));
  await command('File: Save All');
  const lamps = path.join(workspace, 'parts/lamps.pintle');
  let elsewhere = false;
  for (let i = 0; i < 100 && !elsewhere; i++) {
    await page.waitForTimeout(100);
    elsewhere = fs.readFileSync(lamps, 'utf8').includes('part HeadlampBulb');
  }
  check('renamed elsewhere', elsewhere);
  await picture('8-renamed');
}

try {
  await scenario();
  // Leaving the page ends its extensions, and with them the server.
  await page.goto('about:blank');
  check('shutdown', true);
} catch (err) {
  check('scenario', false, err);
  await picture('failed').catch(() => {});
}
await context.close();
fs.rmSync(profile, { recursive: true, force: true });
process.exit(failures ? 1 : 0);
