// @ts-check
// Weighings from a CSV file.

import { startUpload } from '../upload/upload.js';

/** @import { Field } from '../model/fields.js' */

/** Names, order, labels and kinds are those of fleet.WeighingFields, in Go. @type {Field[]} */
export const FIELDS = [
  { name: 'sled', label: 'Sled', kind: 'sled' },
  { name: 'weighed_on', label: 'Date', kind: 'date' },
  { name: 'box_at_ft', label: 'Box at', kind: 'length' },
  { name: 'in_box_lb', label: 'In the box', kind: 'weight' },
  { name: 'on_pan_lb', label: 'Laid on the pan', kind: 'weight' },
  { name: 'pan_lb', label: 'Pan load', kind: 'weight' },
  { name: 'tandem_lb', label: 'Tandem load', kind: 'weight' },
  { name: 'total_lb', label: 'Total', kind: 'weight' },
  { name: 'scale', label: 'Scale', kind: 'text' },
  { name: 'scale_step_lb', label: 'Step of the scale', kind: 'weight' },
  { name: 'place', label: 'Place', kind: 'text' },
  { name: 'by', label: 'Weighed by', kind: 'text' },
  { name: 'note', label: 'Note', kind: 'note' },
];

// The columns of the blank form on the page that says how to weigh.
const COLUMNS = ['sled', 'weighed_on', 'box_at_ft', 'in_box_lb', 'on_pan_lb', 'pan_lb', 'tandem_lb', 'total_lb', 'scale', 'scale_step_lb',
  'by', 'note'];

/** @param {string} sled  the id of that of rows which name none @param {() => void} stored  called when weighings were stored */
export function startWeighingUpload(sled, stored) {
  startUpload({ one: 'weighing', path: '/v1/weighings', fields: FIELDS, columns: COLUMNS, date: 'weighed_on', page: '/weights', sled },
    stored);
}
