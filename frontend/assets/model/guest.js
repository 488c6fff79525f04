// @ts-check
// Sleds of other crews: whose they are and of which date, in the API's words; and what of them is not this crew's to change.

import { byId, control, el } from '../lib/dom.js';

/** @typedef {{owner: string, as_of: string, detail: string}} Guest */

/** A line for each guest; none of one's own sleds. @param {...(Guest|undefined)} guests */
export function guestLines(...guests) {
  return guests.map((guest) => guest && el('p', { class: 'guest' }, guest.detail)).filter((line) => line instanceof Node);
}

/**
 * Says at the top of a sled's page whose it is. What is marked data-owner-only is hidden: its owner alone corrects it.
 * @param {{guest?: Guest}} sled
 */
export function markGuest({ guest }) {
  document.documentElement.toggleAttribute('data-guest', guest !== undefined);
  const place = byId('guest', HTMLDivElement);
  place.hidden = !guest;
  place.replaceChildren(...guestLines(guest), el('p', {}, 'Its owner corrects it, and a newer file of it brings what is new here: ',
    el('a', { href: '/fleet#take-in' }, 'take it in'), '. A reading or a weighing can be set aside here, and stays so.'));
}

/**
 * Whether a guest's owner, and not this crew, set a reading or a weighing aside.
 * @param {{set_aside: {reason: string, at: string}|null, owner_set_aside?: {reason: string, at: string}}} one
 */
export function isAsideByOwner({ set_aside: aside, owner_set_aside: theirs }) {
  return !!theirs && theirs.at === aside?.at && theirs.reason === aside.reason;
}

/**
 * Offers to leave sleds of other crews out, where there are any.
 * @param {HTMLFormElement} form
 * @param {{guest?: Guest}[]} sleds
 * @param {URLSearchParams} link
 */
export function offerToLeaveOut(form, sleds, link) {
  const box = control(form, 'guests');
  box.checked = link.get('guests') === box.value;
  const place = box.closest('[data-guests]');
  if (place instanceof HTMLElement) place.hidden = !box.checked && !sleds.some(({ guest }) => guest);
}

/** The value of the API's parameter: undefined where they count as well. @param {HTMLFormElement} form */
export function leftOut(form) {
  const box = control(form, 'guests');
  return box.checked ? box.value : undefined;
}
