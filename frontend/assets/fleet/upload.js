// @ts-check
// Readings from a CSV file.

import { FIELDS } from '../model/fields.js';
import { startUpload } from '../upload/upload.js';

// The columns of the blank form on the Measuring page.
const COLUMNS = ['sled', 'gear', 'start_ft', 'distance_ft', 'ended', 'end_ft', 'measured_on', 'day', 'taken_with', 'by', 'note'];

/** @param {() => void} stored  called when readings were stored */
export function startReadingUpload(stored) {
  startUpload({ one: 'reading', path: '/v1/readings', fields: FIELDS, columns: COLUMNS, date: 'measured_on', page: '/fleet' }, stored);
}
