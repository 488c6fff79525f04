// @ts-check
// Shapes of what the API says of parts. Types only.

/** @typedef {import('./types.js').Units} Units */

/**
 * @typedef {object} Driveline
 * @property {number} [sprocket_teeth]
 * @property {number} [chain_pitch_in]
 * @property {number} [box_ft_per_turn]
 * @property {number} [axle_ratio]
 * @property {Record<string, number>} [axle_ratios]
 * @property {number} [final_ratio]
 * @property {number} [other_ratio]
 * @property {number} [tyre_circumference_ft]
 * @property {number} [tyre_revs_per_mile]
 */

/** @typedef {import('./types.js').Sled & {driveline?: Driveline, gears: {label: string, ratio?: number, range?: string}[]}} PartsSled */

/**
 * What the parts of the page share.
 * @typedef {object} Page
 * @property {() => PartsSled} sled
 * @property {string} path
 * @property {() => Units} units
 * @property {() => Promise<void>} changed  reads everything again after a write
 */

/** @typedef {{label: string, geared_top_out_ft: number|null, measured_top_out_ft: number|null, measured_over_geared: number|null, missing: string[]}} GearedGear */
/** @typedef {{gears: GearedGear[], factor: number|null, factor_low: number|null, factor_high: number|null, varies_with_speed: boolean, stands_out: {gear: string, detail: string}[]}} Geared */
/** @typedef {{day: string, measured_on: string, readings: number, offset_pct: number, limit_pct: number|null, offset_ft: number|null, limit_ft: number|null, verdict: 'as-usual'|'stands-off'|'alone'}} Day */
/** @typedef {{gear: string|null, items: Day[], drift: {kind: string, detail: string}|null, own_low_pct: number|null, own_high_pct: number|null}} Days */
/** @typedef {{id: string, made_on: string, what: string, effect: 'by-ratio'|'unknown', moves_pct: number|null, travel_ft?: number}} Change */

export {};
