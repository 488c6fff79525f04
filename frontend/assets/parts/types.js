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
 * @property {number} [tire_circumference_ft]
 * @property {number} [tire_revs_per_mile]
 */

/** @typedef {{label: string, ratio?: number, range?: string}} PartsGear */
/** @typedef {Sled & {driveline?: Driveline, gears: PartsGear[]}} PartsSled */

/**
 * @typedef {object} GearedGear
 * @property {string} label
 * @property {number|null} geared_top_out_ft
 * @property {number|null} measured_top_out_ft
 * @property {number|null} measured_over_geared
 * @property {string[]} missing
 */

/**
 * @typedef {object} Geared
 * @property {GearedGear[]} gears
 * @property {number|null} factor
 * @property {number|null} factor_low
 * @property {number|null} factor_high
 * @property {boolean} varies_with_speed
 * @property {{gear: string, detail: string}[]} stands_out
 */

/**
 * @typedef {object} Day
 * @property {string} day
 * @property {string} measured_on
 * @property {number} readings
 * @property {number} offset_pct
 * @property {number|null} limit_pct
 * @property {number|null} offset_ft
 * @property {number|null} limit_ft
 * @property {'as-usual'|'stands-off'|'alone'} verdict
 */

/**
 * @typedef {object} Days
 * @property {string|null} gear
 * @property {Day[]} items
 * @property {{kind: 'trend'|'jump', detail: string}|null} drift
 * @property {number|null} own_low_pct
 * @property {number|null} own_high_pct
 */

/**
 * @typedef {object} Change
 * @property {string} id
 * @property {string} made_on
 * @property {string} what
 * @property {Driveline} [driveline]
 * @property {PartsGear[]} [gears]
 * @property {'by-ratio'|'unknown'} effect
 * @property {number|null} moves_pct
 * @property {number} [travel_ft]
 * @property {boolean} [ends_weighings]
 */

/**
 * @typedef {object} CutoffGear
 * @property {string} label
 * @property {number|null} box_speed_ft_s
 * @property {number|null} driven_run_on_ft
 * @property {number|null} coast_ft
 * @property {number|null} room_needed_ft
 * @property {Basis} basis
 */

/** @typedef {{gears: CutoffGear[], caution: string}} Cutoff */

/** @typedef {{reference_gear: string, gear: string, top_out_ft: number, difference_ft: number}} OptionGear */
/**
 * @typedef {object} Option
 * @property {number} [sprocket_teeth]
 * @property {number} [axle_ratio]
 * @property {number} [final_ratio]
 * @property {number} [tire_circumference_ft]
 * @property {string} [gear_set]
 * @property {number} mean_ft
 * @property {number} worst_ft
 * @property {number} plus_minus_ft
 * @property {number} changed
 * @property {number} box_speed_change_pct
 * @property {number} return_speed_low_pct
 * @property {number} return_speed_high_pct
 * @property {OptionGear[]} gears
 * @property {{gear: string, top_out_ft: number}[]} top_outs
 */

/**
 * @typedef {object} Options
 * @property {string} sled
 * @property {string} reference
 * @property {Option} now
 * @property {Option[]} items
 * @property {number} combinations
 * @property {number} exact_factor
 * @property {number} exact_mean_ft
 * @property {string[]} cannot_be_mended
 * @property {string[]} left_out  the sled's gears of which nothing is known
 * @property {string} caution
 */

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
