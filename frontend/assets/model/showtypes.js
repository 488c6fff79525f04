// @ts-check
// JSDoc types of the API's answers about classes and shows; openapi.yaml is the source. Distances are in feet, unrounded.

/** @import { Answer, Night, Weights } from './types.js' */

/** @import { Guest } from './guest.js' */

/** @typedef {{tops_out: 'before'|'after'|'too-near', detail: string}} FullPull */

/**
 * The setting a class is used to, with its top-out when it was noted; or a distance, without sled and gear.
 * @typedef {object} Home
 * @property {string} [sled]
 * @property {string} [gear]
 * @property {number} [top_out_ft]
 * @property {number} start_ft
 * @property {number|null} stood_for_ft
 * @property {number|null} plus_minus_ft
 * @property {string} noted_on
 * @property {number|null} today_ft
 * @property {number|null} moved_ft
 * @property {number} [in_box_lb]
 * @property {number} [on_pan_lb]
 */

/**
 * @typedef {object} PullingClass
 * @property {string} id
 * @property {string} name
 * @property {Home} setting
 * @property {Home|null} pull_off
 * @property {string} [used_by]
 * @property {string} [weights]
 * @property {number} [ends_ft]
 * @property {string} [notes]
 * @property {number} revision
 * @property {string} created_at
 * @property {string} updated_at
 */

/**
 * @typedef {object} Show
 * @property {string} id
 * @property {string} name
 * @property {string} date
 * @property {string} zone  of the place, an IANA name
 * @property {string} [place]
 * @property {string} [promoter]
 * @property {string|null} sled  null while none is booked
 * @property {string[]} classes
 * @property {number} [full_pull_ft]
 * @property {string} [notes]
 * @property {boolean} over
 * @property {string|null} pullers_url
 * @property {number} revision
 * @property {string} created_at
 * @property {string} updated_at
 */

/**
 * A line of what was set.
 * @typedef {object} AsRun
 * @property {string} id
 * @property {string} sled
 * @property {number} from_hook
 * @property {string} gear
 * @property {number} start_ft
 * @property {boolean} pull_off
 * @property {string} [weights]
 * @property {number} [in_box_lb]
 * @property {number} [on_pan_lb]
 * @property {string} [note]
 * @property {number|null} top_out_ft
 * @property {boolean} show_changed
 * @property {string} created_at
 */

/**
 * @typedef {object} Outcome
 * @property {number} [longest_ft]
 * @property {number} [hooks]
 * @property {number} [full_pulls]
 * @property {'soft'|'right'|'hard'} [felt]
 * @property {string} [note]
 */

/**
 * @typedef {object} SheetRow
 * @property {string} class
 * @property {string} name
 * @property {Home} home
 * @property {string} home_sled_name
 * @property {Guest} [home_guest]
 * @property {string} [weights]
 * @property {string} [notes]
 * @property {Answer} tonight
 * @property {Weights} [weight]  where the class has one and its sled was weighed
 * @property {FullPull} [full_pull]
 * @property {{home: Home, home_guest?: Guest, tonight: Answer, weight?: Weights, full_pull?: FullPull}|null} pull_off
 * @property {Answer|null} booked
 * @property {AsRun[]} as_run
 * @property {Outcome|null} outcome
 */

/**
 * @typedef {object} Sheet
 * @property {string} show
 * @property {string} name
 * @property {string} date
 * @property {string} zone  of the place, an IANA name
 * @property {string} [place]
 * @property {string} [promoter]
 * @property {string|null} sled  null while none is booked
 * @property {string} day  the test day of readings that are entered from the show
 * @property {string} sled_name
 * @property {Guest} [guest]  absent where the sled is one's own
 * @property {string} [replaces]  name of the sled that was booked before
 * @property {boolean} over
 * @property {number} show_revision
 * @property {Night} [night]  where readings were made of it
 * @property {SheetRow[]} rows
 * @property {string} caution
 * @property {string} [load_caution]  where a class has a weight
 */

/**
 * @typedef {object} Candidate
 * @property {string} sled
 * @property {string} name
 * @property {Guest} [guest]
 * @property {boolean} booked
 * @property {number} known
 * @property {string} in_words
 * @property {number|null} mean_ft
 * @property {number|null} worst_ft
 * @property {string|null} worst_class
 * @property {number|null} chance_within_5_ft
 * @property {{weighed: boolean, detail: string}} [weights]
 */

/**
 * @typedef {object} LastRun
 * @property {string} show
 * @property {string} show_name
 * @property {string} date
 * @property {string} [place]
 * @property {boolean} here
 * @property {string} sled
 * @property {string} gear
 * @property {number} start_ft
 * @property {number|null} top_out_ft
 * @property {boolean} noted
 * @property {Outcome} [outcome]
 */

/** @typedef {{class: string, name: string, last: LastRun|null}} LastTime */
/** @typedef {{show: string, items: Candidate[], last_time: LastTime[], caution: string}} Candidates */

/**
 * @typedef {object} SeasonLine
 * @property {string} show
 * @property {string} date
 * @property {string|null} sled
 * @property {string|null} planned_gear
 * @property {number|null} planned_start_ft
 * @property {number|null} planned_ft
 * @property {string|null} set_gear
 * @property {number|null} set_start_ft
 * @property {number|null} set_ft
 * @property {number|null} moved_ft
 * @property {Outcome} [outcome]
 */

/**
 * @typedef {object} SeasonClass
 * @property {string} class
 * @property {string} name
 * @property {SeasonLine[]} lines
 * @property {number|null} mean_moved_ft
 * @property {boolean} moved_one_way
 * @property {string} detail
 */

/** @typedef {{since: string|null, until: string|null, shows: number, classes: SeasonClass[], caution: string}} Season */

export {};
