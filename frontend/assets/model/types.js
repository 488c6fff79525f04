// @ts-check
// JSDoc types of the API's answers; openapi.yaml is the source. Distances are in feet, weights in pounds, unrounded.

/** @typedef {'measured'|'interpolated'|'extended'|'stated'|'carried'|'geared'|'given'|'none'} Basis */
/** @import { Guest } from './guest.js' */

/** @typedef {'topped-out'|'stopped-short'|'past-top'|'stated'} Ended */
/** @typedef {'clear'|'close'|'toss-up'} Confidence */
/** @typedef {'same-start'|'asked-start'|'full-back'} ComparedAt */

/**
 * @typedef {object} Sled
 * @property {string} id
 * @property {string} name
 * @property {string} [owner]
 * @property {number} [travel_ft]
 * @property {number} take_up_ft
 * @property {number} rail_mark_ft
 * @property {{label: string, ratio?: number}[]} gears
 * @property {string} [notes]
 * @property {boolean} retired
 * @property {boolean} [invented]  for the demo
 * @property {number} readings  including those set aside
 * @property {number} [weighings]  including those set aside; absent where it was never weighed
 * @property {Loading} [loading]
 * @property {Guest} [guest]  absent of one's own
 * @property {number} revision
 * @property {string} created_at
 * @property {string} updated_at
 */

/** @typedef {{lb: number, count: number}} Block */

/**
 * What is known of a sled's load besides weighings.
 * @typedef {object} Loading
 * @property {number} [tandem_to_pan_ft]
 * @property {number} [tandem_to_pan_plus_minus_ft]
 * @property {number} [empty_box_lb]
 * @property {number} [empty_box_plus_minus_lb]
 * @property {number} [box_ahead_of_tandem_ft]  negative behind it
 * @property {number} [box_ahead_of_tandem_plus_minus_ft]
 * @property {Block[]} [blocks]
 * @property {number} [most_in_box_lb]
 * @property {number} [most_on_pan_lb]
 * @property {number} [most_on_tandem_lb]
 */

/**
 * How much in the box of another sled.
 * @typedef {object} Weights
 * @property {number|null} in_box_lb
 * @property {number|null} low_lb
 * @property {number|null} high_lb
 * @property {number|null} rounded_in_box_lb
 * @property {number|null} on_pan_lb
 * @property {Block[]} blocks
 * @property {boolean} [own_setting]  the very setting asked about, of which no sentence says what remains
 * @property {{where: 'hook'|'top-out'|'finish', difference_lb: number, low_lb: number, high_lb: number}[]} remaining
 * @property {string|null} cannot
 * @property {{most_lb: number|null, detail: string, passed: boolean}[]} limits  most is null where none is on file
 * @property {RankedGear[]} [gears]
 * @property {{headline: string, sure: string, remaining: string[], cannot?: string}} in_words
 * @property {string} [load_caution]  but on a sheet, which has it once
 */

/** @typedef {{gear: string, start_ft: number, in_box_lb: number, on_pan_lb: number, detail?: string,
 * hook_lb: number|null, finish_lb: number|null}} RankedGear */

/**
 * @typedef {object} Reading
 * @property {string} id
 * @property {string} sled
 * @property {string} gear
 * @property {number} start_ft
 * @property {number} distance_ft
 * @property {Ended} ended
 * @property {number} [end_ft]
 * @property {number} [plus_minus_ft]
 * @property {string} measured_on
 * @property {string} day
 * @property {string} [place]
 * @property {string} [by]
 * @property {string} [note]
 * @property {string} [marked_by]
 * @property {string} [taken_with]
 * @property {string} [surface]
 * @property {string} [weights]
 * @property {number} [tire_psi]
 * @property {number} [speed_mph]
 * @property {string} [replaces]
 * @property {{reason: string, at: string, with_batch?: boolean}|null} set_aside
 * @property {string} [confirmed_at]
 * @property {string} [batch]
 * @property {boolean} [from_owner]  of a guest
 * @property {{reason: string, at: string}} [owner_set_aside]
 * @property {string} created_at
 */

/**
 * A reading that this crew took of a guest, with how it fits its owner's chart.
 * @typedef {{gear: string, start_ft: number, distance_ft: number, measured_on: string, fits: boolean, detail: string}} OwnReading
 */

/**
 * low_ft to high_ft is the 95 % interval of the average over days, tonight_low_ft to tonight_high_ft that of one more pull tonight.
 * @typedef {object} TopOut
 * @property {number} start_ft
 * @property {number|null} top_out_ft
 * @property {number|null} low_ft
 * @property {number|null} high_ft
 * @property {number|null} tonight_low_ft
 * @property {number|null} tonight_high_ft
 * @property {Basis} basis
 * @property {number} readings
 * @property {string} [stated_by]
 */

/**
 * @typedef {object} Check
 * @property {string} code
 * @property {string} [reading]
 * @property {string} [other_reading]  that the reading does not go together with
 * @property {string} [gear]
 * @property {string} [day]
 * @property {boolean} [counts]  false: the reading counts nowhere until it is corrected, set aside or confirmed
 * @property {Mend} [mend]
 * @property {string} detail
 * @property {string} [action]
 */

/**
 * The reading without a usual mistake.
 * @typedef {{kind: string, gear: string, start_ft: number, distance_ft: number, detail: string}} Mend
 */

/**
 * What the readings of one night say of a sled.
 * @typedef {object} Night
 * @property {string} day
 * @property {number} pulls
 * @property {string[]} not_used  ids of readings that move nothing
 * @property {number} [others]    readings of the show's date that were not entered from the show
 * @property {string} detail
 */

/**
 * @typedef {object} Repeatability
 * @property {{day_pct: number, reading_pct: number, left_out: number}|null} pooled  without what a notebook itself contradicts
 * @property {{day_pct: number, reading_pct: number, df: number}} assumed
 * @property {{day_pct: number, reading_pct: number}} used
 * @property {string} [of]  a guest's own crew
 */

/**
 * @typedef {object} Chart
 * @property {string} sled
 * @property {number|null} travel_ft
 * @property {number} take_up_ft
 * @property {'straight'|'measured'|'full-back-only'} shape
 * @property {{travel_ft: number, low_ft: number, high_ft: number, used: boolean}|null} implied_travel
 * @property {Repeatability} repeatability
 * @property {{label: string, box_speed: number|null, box_speed_low: number|null, box_speed_high: number|null, top_outs: TopOut[]}[]} gears
 * @property {Check[]} checks
 * @property {Guest} [guest]
 * @property {OwnReading[]} [own_readings]
 */

/**
 * A setting, or a distance without sled and gear.
 * @typedef {object} Asked
 * @property {string} [sled]
 * @property {string} [gear]
 * @property {number} start_ft
 * @property {number|null} top_out_ft
 * @property {number|null} low_ft
 * @property {number|null} high_ft
 * @property {number|null} tonight_low_ft
 * @property {number|null} tonight_high_ft
 * @property {number|null} box_speed
 * @property {number|null} box_speed_low
 * @property {number|null} box_speed_high
 * @property {Basis} basis
 * @property {string} [stated_by]
 */

/**
 * @typedef {object} Nearest
 * @property {string} gear
 * @property {number} start_ft
 * @property {number} top_out_ft
 * @property {number} tonight_low_ft
 * @property {number} tonight_high_ft
 * @property {number} difference_ft
 * @property {number} difference_tonight_low_ft
 * @property {number} difference_tonight_high_ft
 * @property {number|null} box_speed
 * @property {number|null} box_speed_low
 * @property {number|null} box_speed_high
 * @property {Basis} basis
 * @property {string} [stated_by]
 * @property {number|null} chance_nearest
 * @property {Confidence|null} confidence
 * @property {boolean} [own_setting]  the very setting that was asked about, without a chance
 * @property {boolean|null} out_of_reach
 * @property {ComparedAt} compared_at
 */

/**
 * @typedef {object} MovedStart
 * @property {string} gear
 * @property {number} start_ft
 * @property {number} rounded_start_ft
 * @property {number} top_out_ft
 * @property {number} tonight_low_ft
 * @property {number} tonight_high_ft
 * @property {number} difference_ft
 * @property {number} difference_tonight_low_ft
 * @property {number} difference_tonight_high_ft
 * @property {boolean} worth_it
 */

/**
 * @typedef {object} AnswerGear
 * @property {string} gear
 * @property {number} top_out_ft
 * @property {number} tonight_low_ft
 * @property {number} tonight_high_ft
 * @property {number} difference_ft
 * @property {number} difference_tonight_low_ft
 * @property {number} difference_tonight_high_ft
 * @property {number} chance_nearest
 * @property {Basis} basis
 * @property {string} [stated_by]
 */

/**
 * @typedef {object} Answer
 * @property {string|null} sled  null on the sheet of a show that has none
 * @property {Nearest|null} nearest
 * @property {{gear: string, chance_nearest: number}|null} runner_up
 * @property {MovedStart|null} moved_start
 * @property {AnswerGear[]} [gears]  in answers of /v1/equivalents
 * @property {string} [detail]
 * @property {string} [usual_gear]  where the pulls of the night have changed it
 * @property {InWords} [in_words]  in answers of /v1/equivalents
 */

/**
 * The sentences of an answer, in the units that were asked for.
 * @typedef {object} InWords
 * @property {'unknown'|'out-of-reach'|'toss-up'|'close'|'clear'} level
 * @property {string} asked
 * @property {string} headline
 * @property {string} meaning
 * @property {string} sure
 * @property {string[]} rests
 * @property {string} [moved_start]
 * @property {{headline: string, meaning: string, rests: string, line: string}} for_pullers
 */

/** @typedef {{asked: Asked, answers: Answer[], caution: string}} Equivalents */

/**
 * @typedef {object} TableCell
 * @property {string} gear
 * @property {number} difference_ft
 * @property {number} plus_minus_tonight_ft
 * @property {number} chance_nearest
 * @property {Confidence} confidence
 * @property {boolean|null} out_of_reach
 * @property {ComparedAt} compared_at
 * @property {Basis} basis
 * @property {string} [stated_by]
 */

/**
 * @typedef {object} TableRow
 * @property {string} gear
 * @property {number|null} top_out_ft
 * @property {number|null} tonight_low_ft
 * @property {number|null} tonight_high_ft
 * @property {Basis} basis
 * @property {Record<string, TableCell>} on  by sled
 */

/**
 * @typedef {object} FleetTable
 * @property {string} reference
 * @property {number} start_ft
 * @property {string[]} sleds
 * @property {TableRow[]} rows
 * @property {Record<string, Guest>} [guests]  by sled
 * @property {string} caution
 */

/**
 * A reading worth taking. plus_minus_ft is null when nothing is known yet.
 * @typedef {object} Advice
 * @property {string} gear
 * @property {number} start_ft
 * @property {number|null} plus_minus_ft
 * @property {number} then_ft
 * @property {number} mean_ft
 * @property {number} mean_then_ft
 * @property {string} detail
 */

export {};
