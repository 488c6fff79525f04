// @ts-check
// JSDoc types of the API's answers about weighings; openapi.yaml is the source. Feet and pounds, unrounded.

/**
 * @typedef {object} Weighing
 * @property {string} id
 * @property {string} weighed_on
 * @property {number} box_at_ft
 * @property {number} in_box_lb
 * @property {number} on_pan_lb
 * @property {number} pan_lb
 * @property {number} [tandem_lb]
 * @property {number} [total_lb]
 * @property {string} [scale]
 * @property {number} [scale_step_lb]
 * @property {string} [place]
 * @property {string} [by]
 * @property {string} [note]
 * @property {{reason: string, at: string}|null} set_aside
 * @property {{reason: string, at: string}} [owner_set_aside]
 */

/** @typedef {{code: string, weighing?: string, others: string[], detail: string, action: string}} PanCheck */

/**
 * @typedef {object} PanLoad
 * @property {string} name
 * @property {number} weighings  how many count
 * @property {string} [weighings_from]  date of the change of parts that ended those before it
 * @property {{pan: object|null}[]} places
 * @property {PanCheck[]} checks
 * @property {{detail: string}[]} next
 * @property {{headline: string, lines: string[]}} in_words
 * @property {string} caution
 */

export {};
