// @ts-check
// Readings from a CSV file: checked in a dry run first, then kept all together.

import { Problem, request, Sending } from './api.js';
import { byId, control, download, el, row, table } from './dom.js';
import { refuse, submitting } from './forms.js';
import { withKey } from './key.js';
import { currentUnits } from './units.js';
import { counted } from './words.js';

// The columns of the form to fill in by hand, on the Measuring page.
const COLUMNS = ['sled', 'gear', 'start_ft', 'distance_ft', 'ended', 'end_ft', 'measured_on', 'day', 'taken_with', 'by', 'note'];

export function startImport() {
  const form = byId('import-form', HTMLFormElement);
  const result = byId('import-result', HTMLDivElement);
  const sending = new Sending();
  const file = control(form, 'file');

  file.addEventListener('change', () => result.replaceChildren());
  byId('import-template', HTMLButtonElement).addEventListener('click', () => {
    const columns = currentUnits() === 'm' ? COLUMNS.map((name) => name.replace(/_ft$/, '_m')) : COLUMNS;
    download('readings.csv', `${columns.join(',')}\n`, 'text/csv');
  });

  form.addEventListener('submit', (event) => {
    event.preventDefault();
    result.replaceChildren();
    submitting(form, async () => {
      const chosen = file.files?.[0];
      refuse(chosen ? [] : [{ at: 'file', detail: 'Choose a file first.' }]);
      const csv = await textOf(/** @type {File} */ (chosen));
      try {
        const { data } = await send(csv, true);
        result.replaceChildren(checked(data.accepted, csv));
        result.querySelector('button')?.focus();
      } catch (error) {
        if (!(error instanceof Problem) || error.faults.length === 0) throw error;
        result.replaceChildren(...badRows(error));
      }
    });
  });

  /**
   * @param {string} csv
   * @param {boolean} dryRun
   * @returns {Promise<{data: {accepted: number}}>}
   */
  function send(csv, dryRun) {
    return withKey((key) => request('POST', '/v1/readings', {
      csv, key, query: dryRun ? { dry_run: true } : {}, idempotencyKey: dryRun ? undefined : sending.keyFor(csv),
    }));
  }

  /** @param {number} accepted @param {string} csv */
  function checked(accepted, csv) {
    const button = el('button', { class: 'primary', type: 'button' }, `Keep ${counted(accepted, 'reading')}`);
    const place = el('div', {}, el('p', {}, `${counted(accepted, 'reading')} in the file, and every row fits. Nothing is kept yet.`), button);
    button.addEventListener('click', async () => {
      button.disabled = true;
      try {
        const { data } = await send(csv, false);
        sending.arrived();
        form.reset();
        result.replaceChildren(el('p', { class: 'notice' }, `${counted(data.accepted, 'reading')} kept.`));
      } catch (error) {
        button.disabled = false;
        if (error instanceof Problem && error.faults.length > 0) result.replaceChildren(...badRows(error));
        else place.append(el('p', { class: 'fault', role: 'alert' }, error instanceof Error ? error.message : String(error)));
      }
    });
    return place;
  }
}

/**
 * The file as text. A file in another encoding is refused here: read as UTF-8 it would lose letters unseen.
 * @param {File} file
 */
async function textOf(file) {
  const bytes = await file.arrayBuffer();
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw new Problem(422, 'Not sent', 'The file cannot be used as it is.',
      [{ at: 'file', detail: 'It is not text in UTF-8. Save it again as “CSV UTF-8”.' }]);
  }
}

/** @param {Problem} problem */
function badRows(problem) {
  const rows = problem.faults.map((fault) =>
    row(fault.row === undefined ? 'the file' : String(fault.row), [fault.at || 'the row', fault.detail]));
  const more = problem.total > problem.faults.length ? ` The first ${problem.faults.length} of ${problem.total} are listed.` : '';
  return [
    el('p', { class: 'faults' }, `Nothing was kept. ${counted(problem.total, 'fault')} to put right in the file; row 1 is the line with the column names.${more}`),
    table('What does not fit', ['Row', 'Column', 'What is wrong'], rows, 'text'),
  ];
}
