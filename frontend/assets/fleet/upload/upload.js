// @ts-check
// Upload of a CSV file of readings: dropped or chosen, checked in the browser, checked by the server in a dry run, then stored,
// all or nothing.

import { withKey } from '../../account/key.js';
import { getAll, Problem, randomKey } from '../../lib/api.js';
import { today } from '../../lib/dates.js';
import { byId, download, el, field } from '../../lib/dom.js';
import { counted } from '../../lib/text.js';
import { currentUnits } from '../../lib/units.js';
import { Sleds } from './check.js';
import { columnName } from './columns.js';
import { UploadFile } from './file.js';
import { badRows, columnChoices, firstRows, sledLinks } from './preview.js';
import { sendReadings } from './send.js';

/** @import { Sled } from '../../model/types.js' */
/** @import { BadRow, Checked } from './file.js' */

// The columns of the blank form on the Measuring page.
const COLUMNS = ['sled', 'gear', 'start_ft', 'distance_ft', 'ended', 'end_ft', 'measured_on', 'day', 'taken_with', 'by', 'note'];

/** @param {() => void} stored  called when readings were stored */
export function startUpload(stored) {
  const view = new UploadView(stored);
  const choice = byId('import-file', HTMLInputElement);
  choice.addEventListener('change', () => {
    const file = choice.files?.[0];
    choice.value = ''; // the same file can be chosen again
    if (file) view.take(file);
  });
  byId('import-template', HTMLButtonElement).addEventListener('click', () => {
    const columns = currentUnits() === 'm' ? COLUMNS.map((name) => name.replace(/_ft$/, '_m')) : COLUMNS;
    download('readings.csv', `${columns.join(',')}\n`, 'text/csv');
  });
  takeDrops((file) => view.take(file));
  byId('import-form', HTMLDivElement).hidden = false;
}

/** Accepts a file dropped anywhere on the page. Elsewhere the browser would open it. @param {(file: File) => void} take */
function takeDrops(take) {
  const place = byId('import', HTMLElement);
  const hasFile = (/** @type {DragEvent} */ event) => event.dataTransfer?.types.includes('Files') ?? false;
  document.addEventListener('dragover', (event) => {
    if (!hasFile(event)) return;
    event.preventDefault();
    place.classList.add('over');
  });
  document.addEventListener('dragleave', (event) => { if (event.relatedTarget === null) place.classList.remove('over'); });
  document.addEventListener('drop', (event) => {
    place.classList.remove('over');
    if (!hasFile(event)) return;
    event.preventDefault();
    const file = event.dataTransfer?.files[0];
    if (file) take(file);
  });
}

class UploadView {
  #stored;
  #status = byId('import-status', HTMLDivElement);
  #bar = byId('import-progress', HTMLDivElement);
  #result = byId('import-result', HTMLDivElement);
  #work = new AbortController();
  /** The Idempotency-Key of this file: a repeat stores nothing twice. */
  #key = '';

  /** @param {() => void} stored */
  constructor(stored) {
    this.#stored = stored;
  }

  /** @param {File} chosen */
  async take(chosen) {
    const signal = this.#begin();
    this.#result.replaceChildren();
    this.#progress(`Reading ${chosen.name} …`, undefined);
    byId('import', HTMLElement).scrollIntoView({ block: 'start' });
    try {
      const [file, sleds] = await Promise.all([
        UploadFile.read(chosen, currentUnits()), /** @type {Promise<Sled[]>} */ (getAll('/v1/sleds'))]);
      signal.throwIfAborted();
      await this.#check(file, new Sleds(sleds), signal);
    } catch (error) {
      this.#failed(error, signal);
    }
  }

  /** Aborts the work on an earlier file. */
  #begin() {
    this.#work.abort(new DOMException('another file', 'AbortError'));
    this.#work = new AbortController();
    return this.#work.signal;
  }

  /** @param {UploadFile} file @param {Sleds} sleds @param {AbortSignal} signal */
  async #check(file, sleds, signal) {
    const checked = await file.check(sleds, (share) => this.#progress(`Looking through ${file.name} …`, share), signal);
    this.#done();
    this.#key = randomKey();
    this.#show(file, sleds, checked);
  }

  /** Checks the same file with other settings. @param {UploadFile} file @param {Sleds} sleds */
  async #again(file, sleds) {
    const focused = document.activeElement?.id;
    const signal = this.#begin();
    try {
      await this.#check(file, sleds, signal);
      if (focused) document.getElementById(focused)?.focus();
    } catch (error) {
      this.#failed(error, signal);
    }
  }

  /** @param {UploadFile} file @param {Sleds} sleds @param {Checked} checked */
  #show(file, sleds, checked) {
    const changed = () => this.#again(file, sleds);
    const missing = this.#missing(file, sleds, changed);
    const good = checked.rows - checked.badRows;
    const ready = checked.rows > 0 && checked.badRows === 0 && !checked.unclear;
    const button = el('button', {
      id: 'import-check', class: 'primary', type: 'button', disabled: !ready, onclick: () => this.#dryRun(file, sleds, checked),
    }, `Check ${counted(checked.rows, 'reading')} with the server`);
    const faults = el('div', { id: 'import-faults' }, checked.badRows > 0 && !checked.unclear && badRows(checked.bad, checked.badRows));
    this.#result.replaceChildren(
      el('h3', {}, file.name),
      el('p', { id: 'import-count' }, el('strong', {}, countWords(checked, good)), checked.badRows > 0 && !checked.unclear &&
        ' Put them right in the file and drop it here again, or choose below what its columns are.'),
      ...(file.guessed ? [el('p', { class: 'notice' },
        'The file is not in UTF-8; it was read as Windows-1252. Look whether its letters are right below.')] : []),
      ...(checked.either ? [this.#dateQuestion(file, checked.either, changed)] : []),
      faults,
      ...missing,
      el('details', { class: 'fold', open: checked.badRows > 0 || missing.length > 0 || file.uses.includes(null) },
        el('summary', {}, 'What each column is'), columnChoices(file, changed)),
      firstRows(checked),
      el('div', { class: 'actions', id: 'import-next' }, button, el('span', { class: 'hint' }, 'Nothing is kept yet.')));
    this.#announce(countWords(checked, good));
  }

  /** Fields for required values that no column holds. @param {UploadFile} file @param {Sleds} sleds @param {() => void} changed */
  #missing(file, sleds, changed) {
    const lacks = (/** @type {string} */ name) => !file.uses.some((use) => use?.name === name);
    const shown = [];
    if (lacks('sled')) {
      const list = el('select', { id: 'import-sled', onchange: () => { file.same.sled = list.value; changed(); } },
        el('option', { value: '' }, 'Choose the sled …'),
        ...sleds.all.map(({ id, name }) => el('option', { value: id, selected: file.same.sled === id }, name)));
      shown.push(field('No column says the sled. Every row is of', list));
    }
    if (lacks('measured_on')) {
      const date = el('input', {
        id: 'import-date', type: 'date', max: today(), value: file.same.measured_on ?? '',
        onchange: () => { file.same.measured_on = date.value; changed(); },
      });
      shown.push(field('No column says the date. Every row was measured on', date));
    }
    return shown;
  }

  /** @param {UploadFile} file @param {string} example @param {() => void} changed */
  #dateQuestion(file, example, changed) {
    const choice = (/** @type {'day'|'month'} */ first, /** @type {string} */ words) => el('label', { class: 'choice' },
      el('input', { type: 'radio', name: 'import-first', id: `import-first-${first}`, value: first, checked: file.first === first,
        onchange: () => { file.first = first; changed(); } }), el('span', {}, words));
    return el('div', { class: 'notice', id: 'import-dates' },
      el('fieldset', { class: 'field' }, el('legend', {}, `Dates such as ${example} can be read in two ways. Which comes first?`),
      el('div', { class: 'choices' }, choice('day', 'the day'), choice('month', 'the month'))));
  }

  /** @param {UploadFile} file @param {Sleds} sleds @param {Checked} checked */
  async #dryRun(file, sleds, checked) {
    const signal = this.#begin();
    await this.#sending(checked, signal, async () => {
      const progress = this.#sendProgress('Sending it to be checked …', 'The server looks through it …');
      const { accepted } = await withKey(() => sendReadings(new Blob(checked.parts), { dryRun: true, signal, progress }));
      const storeButton = el('button', {
        id: 'import-keep', class: 'primary', type: 'button', onclick: () => this.#store(file, sleds, checked),
      }, `Keep ${counted(accepted, 'reading')}`);
      byId('import-faults', HTMLDivElement).replaceChildren();
      byId('import-next', HTMLDivElement).replaceChildren(
        el('p', { class: 'checked' }, el('strong', {}, 'Every row fits. '), 'Nothing is kept yet.'), storeButton);
      storeButton.focus();
      this.#announce('Every row fits. Nothing is kept yet.');
    });
  }

  /** @param {UploadFile} file @param {Sleds} sleds @param {Checked} checked */
  async #store(file, sleds, checked) {
    const idempotencyKey = this.#key;
    const progress = this.#sendProgress('Sending …', 'The server keeps it …');
    await this.#sending(checked, this.#begin(), async () => {
      const { accepted } = await withKey(() => sendReadings(new Blob(checked.parts), { dryRun: false, idempotencyKey, progress }));
      this.#result.replaceChildren(el('div', { class: 'notice', id: 'import-kept', tabindex: '-1' },
        el('p', {}, el('strong', {}, `${counted(accepted, 'reading')} of ${file.name} kept.`)), sledLinks(checked.bySled, sleds.all)));
      byId('import-kept', HTMLDivElement).focus();
      this.#announce(`${counted(accepted, 'reading')} kept.`);
      this.#stored();
    });
  }

  /**
   * The preview stays while sending, and after a refusal.
   * @param {Checked} checked
   * @param {AbortSignal} signal
   * @param {() => Promise<void>} work
   */
  async #sending(checked, signal, work) {
    const buttons = [...this.#result.querySelectorAll('button, select, input')];
    const were = buttons.filter((button) => !button.hasAttribute('disabled'));
    were.forEach((button) => button.setAttribute('disabled', ''));
    try {
      await work();
    } catch (error) {
      if (!(error instanceof Problem) || error.faults.length === 0) {
        this.#failed(error, signal);
        return;
      }
      const bad = faultsByRow(error, checked);
      byId('import-faults', HTMLDivElement).replaceChildren(
        el('p', { class: 'faults', role: 'alert' },
          `Nothing was kept. The server found ${counted(error.total, 'fault')}: put them right in the file and drop it here again.`),
        badRows(bad, Math.max(bad.length, error.total)));
      byId('import-faults', HTMLDivElement).scrollIntoView({ block: 'nearest' });
    } finally {
      were.forEach((button) => button.removeAttribute('disabled'));
      if (!signal.aborted) this.#done();
    }
  }

  /** @param {unknown} error @param {AbortSignal} signal */
  #failed(error, signal) {
    if (signal.aborted) return; // replaced by another file
    this.#done();
    const message = el('p', { class: 'faults', role: 'alert', id: 'import-problem' },
      error instanceof Problem ? error.message : `Something went wrong: ${error}`);
    const next = document.getElementById('import-next');
    document.getElementById('import-problem')?.remove();
    if (next) next.before(message);
    else this.#result.replaceChildren(message);
  }

  /** @param {string} words @param {number|undefined} share  0 to 1; undefined when unknown */
  #progress(words, share) {
    const [message, bar] = [this.#bar.querySelector('p'), this.#bar.querySelector('progress')];
    if (!message || !bar) return;
    this.#bar.hidden = false;
    if (message.textContent !== words) message.textContent = words;
    if (share === undefined) bar.removeAttribute('value');
    else bar.value = share;
  }

  /** @param {string} sending @param {string} sent @returns {(share: number) => void} */
  #sendProgress(sending, sent) {
    return (share) => this.#progress(share < 1 ? sending : sent, share < 1 ? share : undefined);
  }

  #done() {
    this.#bar.hidden = true;
  }

  /** @param {string} words */
  #announce(words) {
    this.#status.textContent = words;
  }
}

/** @param {Checked} checked @param {number} good */
function countWords(checked, good) {
  if (checked.rows === 0) return 'There are no readings under the headings.';
  if (checked.unclear) return `${counted(checked.rows, 'row')}. Say first how the dates are meant.`;
  if (checked.badRows === 0) {
    const fit = checked.rows === 1 ? '1 row, and it fits' : `${checked.rows} rows, and all fit`;
    return `${fit} as far as can be seen here.`;
  }
  return `${counted(checked.rows, 'row')}: ${counted(checked.badRows, 'does', 'do')} not fit, ${counted(good, 'does', 'do')}.`;
}

/** The server's faults by row of the file. @param {Problem} problem @param {Checked} checked @returns {BadRow[]} */
function faultsByRow(problem, checked) {
  /** @type {Map<number, BadRow>} */
  const rows = new Map();
  for (const { at, row = 1, detail } of problem.faults) {
    const number = row > 1 ? checked.from[row - 2] ?? 0 : 0; // row 1 is the heading, which we write
    const name = checked.columns.find((use) => columnName(use) === at)?.name ?? at;
    const bad = rows.get(number) ?? { row: number, wrong: [] };
    bad.wrong.push({ name, detail });
    rows.set(number, bad);
  }
  return [...rows.values()];
}
