// @ts-check
// JSDoc types of the API's answers about parts; openapi.yaml is the source.

/** @import { Basis, Chart, Reading, Sled } from '../model/types.js' */

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

/** @typedef {{label: string, ratio?: number, range?: string}} PartsGear */
/** @typedef {Sled & {driveline?: Driveline, gears: PartsGear[]}} PartsSled */

/** @typedef {{label: string, geared_top_out_ft: number|null, measured_top_out_ft: number|null, measured_over_geared: number|null, missing: string[]}} GearedGear */
/** @typedef {{gears: GearedGear[], factor: number|null, factor_low: number|null, factor_high: number|null, varies_with_speed: boolean, stands_out: {gear: string, detail: string}[]}} Geared */

/** @typedef {{day: string, measured_on: string, readings: number, offset_pct: number, limit_pct: number|null, offset_ft: number|null, limit_ft: number|null, verdict: 'as-usual'|'stands-off'|'alone'}} Day */
/** @typedef {{gear: string|null, items: Day[], drift: {kind: 'trend'|'jump', detail: string}|null, own_low_pct: number|null, own_high_pct: number|null}} Days */

/** @typedef {{id: string, made_on: string, what: string, driveline?: Driveline, gears?: PartsGear[], effect: 'by-ratio'|'unknown', moves_pct: number|null, travel_ft?: number}} Change */

/** @typedef {{label: string, box_speed_ft_s: number|null, driven_run_on_ft: number|null, coast_ft: number|null, room_needed_ft: number|null, basis: Basis}} CutoffGear */
/** @typedef {{gears: CutoffGear[], caution: string}} Cutoff */

/** @typedef {{reference_gear: string, gear: string, top_out_ft: number, difference_ft: number}} OptionGear */
/**
 * @typedef {object} Option
 * @property {number} [sprocket_teeth]
 * @property {number} [axle_ratio]
 * @property {number} [final_ratio]
 * @property {number} [tyre_circumference_ft]
 * @property {string} [gear_set]
 * @property {number} mean_ft
 * @property {number} worst_ft
 * @property {number} plus_minus_ft
 * @property {number} changed
 * @property {number} box_speed_change_pct
 * @property {number} return_speed_low_pct
 * @property {number} return_speed_high_pct
 * @property {OptionGear[]} gears
 */
/** @typedef {{sled: string, reference: string, now: Option, items: Option[], combinations: number, exact_factor: number, exact_mean_ft: number, cannot_be_mended: string[], caution: string}} Options */

/**
 * The data of the page.
 * @typedef {object} PartsData
 * @property {PartsSled} sled
 * @property {string} etag
 * @property {Geared} geared
 * @property {Chart} chart      from full back
 * @property {Days} days
 * @property {Change[]} changes newest first
 * @property {Reading[]} readings
 */

export {};
