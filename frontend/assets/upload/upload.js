// @ts-check
// Upload of a CSV file of readings or weighings: dropped or chosen, checked by the server in a dry run, which says how it understands
// the file, then stored, all or nothing.

import { withKey } from '../account/key.js';
import { address, getAll, Problem, randomKey } from '../lib/api.js';
import { today } from '../lib/dates.js';
import { byId, download, el, field } from '../lib/dom.js';
import { counted } from '../lib/text.js';
import { currentUnits } from '../lib/units.js';
import { upload } from '../lib/upload.js';
import { columnChoices, faultRows, firstRows, inMetric } from './preview.js';
import { questions, storedNotice } from './questions.js';

/** @import { Field } from '../model/fields.js' */
/** @import { Sled } from '../model/types.js' */
/** @import { Checked, Understood } from './preview.js' */

/**
 * What the rows of a file are.
 * @typedef {object} Kind
 * @property {string} one  a row: "reading"
 * @property {string} path  of the API
 * @property {Field[]} fields
 * @property {string[]} columns  of the empty template: those of the form to fill in by hand
 * @property {'measured_on'|'weighed_on'} date  the field
 * @property {string} page  of one sled
 * @property {string} [sled]  the id of that of rows which name none
 */

/**
 * What the user has said of a file, as the API takes it. The columns are by their names, commas between.
 * @typedef {{units: string, columns?: string, dates?: string, sled?: string, measured_on?: string, weighed_on?: string,
 *   repeated?: string, unlikely?: string}} Settings
 */

/**
 * `codes` is what was asked about its rows, before and now.
 * @typedef {{kind: Kind, file: File, sleds: Sled[], settings: Settings, unclear: string, codes: string[], key: string} & Checked} Upload
 */

const MAX_BYTES = 64 * 1024 * 1024; // the API's limit

/** @param {Kind} kind @param {() => void} stored  called when rows were stored */
export function startUpload(kind, stored) {
  const view = new UploadView(kind, stored);
  const choice = byId('import-file', HTMLInputElement);
  choice.addEventListener('change', () => {
    const file = choice.files?.[0];
    choice.value = ''; // the same file can be chosen again
    if (file) view.take(file);
  });
  byId('import-template', HTMLButtonElement).addEventListener('click', () => {
    const columns = kind.columns.map((name) => {
      const field = kind.fields.find((one) => one.name === name);
      return field && currentUnits() === 'm' ? inMetric(field) : name;
    });
    download(`${kind.one}s.csv`, `${columns.join(',')}\n`, 'text/csv');
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
  #kind;
  #stored;
  #status = byId('import-status', HTMLDivElement);
  #bar = byId('import-progress', HTMLDivElement);
  #result = byId('import-result', HTMLDivElement);
  #work = new AbortController();
  /** The sleds, and what was said of the file before. @type {Pick<Upload, 'sleds'|'unclear'|'codes'>} */
  #before = { sleds: [], unclear: '', codes: [] };

  /** @param {Kind} kind @param {() => void} stored */
  constructor(kind, stored) {
    this.#kind = kind;
    this.#stored = stored;
  }

  /** @param {File} file */
  async take(file) {
    byId('import', HTMLElement).scrollIntoView({ block: 'start' });
    this.#result.replaceChildren();
    this.#before = { sleds: [], unclear: '', codes: [] };
    await this.#check(file, { units: currentUnits(), sled: this.#kind.sled });
  }

  /** Lets the server check the file, with what the user has said of it. @param {File} file @param {Settings} settings */
  async #check(file, settings) {
    this.#work.abort(new DOMException('another file', 'AbortError'));
    this.#work = new AbortController();
    const { signal } = this.#work;
    const focused = document.activeElement?.id;
    try {
      if (file.size > MAX_BYTES) throw new Problem(413, 'Too large', `${file.name} is larger than 64 MiB. Send it in parts.`);
      if (this.#before.sleds.length === 0) this.#before.sleds = await getAll('/v1/sleds');
      const checked = await this.#dryRun(file, settings, signal);
      signal.throwIfAborted();
      this.#before.unclear ||= checked.understood.unclear_date ?? '';
      this.#before.codes = [...new Set([...this.#before.codes, ...checked.asks])];
      this.#show({ kind: this.#kind, file, settings, key: randomKey(), ...checked, ...this.#before });
      if (focused) document.getElementById(focused)?.focus();
    } catch (error) {
      this.#failed(error, signal, file, () => this.#check(file, settings));
    } finally {
      if (!signal.aborted) this.#bar.hidden = true;
    }
  }

  /** @param {File} file @param {Settings} settings @param {AbortSignal} signal @returns {Promise<Checked>} @throws {Problem} */
  async #dryRun(file, settings, signal) {
    try {
      const { upload: understood, accepted } = await this.#send(file, settings, { dry_run: true }, signal);
      return { understood: /** @type {Understood} */ (understood), accepted, faults: [], total: 0, asks: [] };
    } catch (error) {
      if (!(error instanceof Problem && error.upload)) throw error;
      const { upload: understood, faults, total, codes: asks } = error;
      return { understood, accepted: understood.rows, faults, total, asks };
    }
  }

  /**
   * @param {File} file
   * @param {Settings} settings
   * @param {{dry_run?: boolean, key?: string}} options
   * @param {AbortSignal} signal
   * @returns {Promise<{accepted: number, batch?: string, upload?: Understood}>}
   * @throws {Problem}
   */
  #send(file, settings, { dry_run, key }, signal) {
    const [sending, sent] = dry_run
      ? ['Sending it to be checked …', 'The server looks through it …'] : ['Sending …', 'The server stores it …'];
    return withKey(() => upload(address(this.#kind.path, { ...settings, unknown: 'skip', dry_run }), file, {
      type: 'text/csv', idempotencyKey: key, signal,
      progress: (share) => this.#progress(share < 1 ? sending : sent, share < 1 ? share : undefined),
      unreached: `The server could not be reached${dry_run ? '' : ', or its answer did not come back'}. ` +
        'The file is still here: try again when there is signal. What was stored already is not stored twice.',
    }));
  }

  /** @param {Upload} it */
  #show(it) {
    const { understood, settings, faults, accepted, asks: asked } = it;
    const { rows, rows_with_faults: bad } = understood;
    const again = (/** @type {Partial<Settings>} */ said) => this.#check(it.file, { ...settings, ...said });
    const asks = understood.unclear_date !== undefined;
    const fits = faults.length === 0;
    const words = countWords(this.#kind, rows, bad, fits, asks, asked.length > 0) +
      (fits && accepted < rows ? ` ${counted(rows - accepted, 'is', 'are')} left out, stored already.` : '');
    const missing = this.#missing(it, again);
    const unsure = !fits && asked.length === 0 || missing.length > 0 || understood.columns.some(({ name }) => name === null);
    this.#result.replaceChildren(
      el('h3', {}, it.file.name),
      el('p', { id: 'import-count' }, el('strong', {}, words), !fits && !asks && asked.length === 0 && rows > 0 &&
        ' Put them right in the file and drop it here again, or choose below what its columns are.'),
      ...(understood.encoding === 'windows-1252' ? [el('p', { class: 'notice' },
        'The file is not in UTF-8; it was read as Windows-1252. Look whether its letters are right below.')] : []),
      ...(it.unclear ? [dateQuestion(it, (dates) => again({ dates }))] : []),
      ...questions(it, again),
      el('div', { id: 'import-faults' }, !fits && !asks && rows > 0 && faultRows(this.#kind, it)),
      ...missing,
      el('details', { class: 'fold', open: unsure },
        el('summary', {}, 'What each column is'),
        columnChoices(this.#kind, understood, (columns) => again({ columns: columns.join(',') }))),
      firstRows(this.#kind, understood, it.sleds),
      el('div', { class: 'actions', id: 'import-next' }, el('button', {
        id: 'import-store', class: 'primary', type: 'button', disabled: !fits, onclick: () => this.#store(it),
      }, `Store ${counted(accepted, this.#kind.one)}`), el('span', { class: 'hint' }, 'Nothing is stored yet.')));
    this.#announce(words);
  }

  /** Fields for values that no column holds. @param {Upload} it @param {(said: Partial<Settings>) => void} again */
  #missing({ understood, settings, sleds }, again) {
    const lacks = (/** @type {string} */ wanted) => !understood.columns.some(({ name }) => name === wanted);
    const shown = [];
    if (lacks('sled')) {
      const list = el('select', { id: 'import-sled', onchange: () => again({ sled: list.value || undefined }) },
        el('option', { value: '' }, 'Choose the sled …'),
        ...sleds.map(({ id, name }) => el('option', { value: id, selected: settings.sled === id }, name)));
      shown.push(field('No column says the sled. Every row is of', list));
    }
    const { date: on } = this.#kind;
    if (lacks(on)) {
      const date = el('input', {
        id: 'import-date', type: 'date', max: today(), value: settings[on] ?? '',
        onchange: () => again({ [on]: date.value || undefined }),
      });
      shown.push(field(`No column says the date. Every row was ${on.replace('_', ' ')}`, date));
    }
    return shown;
  }

  /** The preview stays while sending, and after a refusal. @param {Upload} it */
  async #store(it) {
    const { signal } = this.#work;
    const controls = [...this.#result.querySelectorAll('button, select, input')].filter((control) => !control.hasAttribute('disabled'));
    controls.forEach((control) => control.setAttribute('disabled', ''));
    try {
      const stored = await this.#send(it.file, it.settings, { key: it.key }, signal);
      this.#result.replaceChildren(storedNotice(it, stored, this.#stored));
      byId('import-stored', HTMLDivElement).focus();
      this.#announce(`${counted(stored.accepted, this.#kind.one)} stored.`);
      this.#stored();
    } catch (error) {
      controls.forEach((control) => control.removeAttribute('disabled'));
      if (error instanceof Problem && error.faults.length > 0) {
        byId('import-faults', HTMLDivElement).replaceChildren(faultRows(this.#kind, error));
      }
      this.#failed(error, signal, it.file);
    } finally {
      if (!signal.aborted) this.#bar.hidden = true;
    }
  }

  /**
   * Shows why something failed, and tries it again once there is signal.
   * @param {unknown} error @param {AbortSignal} signal @param {File} file @param {() => void} [again]
   */
  #failed(error, signal, file, again) {
    if (signal.aborted) return; // replaced by another file
    document.getElementById('import-problem')?.remove();
    const isTemporary = again && error instanceof Problem && error.isTemporary;
    const text = error instanceof Problem ? error.faults[0]?.detail ?? error.message : `Something went wrong: ${error}`;
    const message = el('div', { class: 'faults', role: 'alert', id: 'import-problem' }, el('p', {}, text),
      isTemporary && el('button', { type: 'button', id: 'import-again', onclick: again }, 'Try again'));
    if (isTemporary) window.addEventListener('online', again, { once: true, signal });
    const next = document.getElementById('import-next');
    if (next) next.before(message);
    else this.#result.replaceChildren(el('h3', {}, file.name), message);
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

  /** @param {string} words */
  #announce(words) {
    this.#status.textContent = words;
  }
}

/** @param {Upload} it @param {(dates: string) => void} said */
function dateQuestion({ unclear, settings }, said) {
  const choice = (/** @type {string} */ first) => el('label', { class: 'choice' },
    el('input', {
      type: 'radio', name: 'import-first', id: `import-first-${first}`, checked: settings.dates === `${first}-first`,
      onchange: () => said(`${first}-first`),
    }), el('span', {}, `the ${first}`));
  return el('div', { class: 'notice', id: 'import-dates' },
    el('fieldset', { class: 'field' }, el('legend', {}, `Dates such as ${unclear} can be read in two ways. Which comes first?`),
      el('div', { class: 'choices' }, choice('month'), choice('day'))));
}

/**
 * @param {Kind} kind
 * @param {number} rows
 * @param {number} bad
 * @param {boolean} fits
 * @param {boolean} asks
 * @param {boolean} asked
 */
function countWords({ one }, rows, bad, fits, asks, asked) {
  if (rows === 0) return `There are no ${one}s under the headings.`;
  if (asks) return `${counted(rows, 'row')}. Say first how the dates are meant.`;
  if (asked) return `${counted(rows, 'row')}, and something is asked about them.`;
  if (fits) return rows === 1 ? '1 row, and it fits.' : `${rows} rows, and all fit.`;
  return `${counted(rows, 'row')}: ${counted(bad, 'does', 'do')} not fit, ${counted(rows - bad, 'does', 'do')}.`;
}
