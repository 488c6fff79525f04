// @ts-check
// The steps to a first answer: done ones and the next one.

import { demoButton } from '../frame/demo.js';
import { el } from '../lib/dom.js';

/** @param {{id: string, name: string, readings: number, retired: boolean}[]} sleds */
export function firstSteps(sleds) {
  const inUse = sleds.filter(({ retired }) => !retired);
  const unmeasured = inUse.filter(({ readings }) => readings === 0);
  const next = unmeasured[0] ?? inUse[0];
  const none = inUse.length === 0, two = inUse.length >= 2, measured = inUse.length - unmeasured.length >= 2;
  const steps = [
    {
      done: two && 'Two sleds are here.', href: '/fleet#add', word: none ? 'Add the first sled' : 'Add another sled',
      text: none ? 'Add the sled you know, with the labels on its lever.' : `${inUse[0].name} is here. Add the other sled.`,
    },
    {
      done: measured && 'Two sleds have readings.', word: 'Note readings',
      href: next ? `/note?sled=${encodeURIComponent(next.id)}` : '/note',
      other: next && { href: `/fleet?sled=${encodeURIComponent(next.id)}#known`, word: 'Its chart is known already' },
      text: 'Note how far each was pulled when its box topped out: one marked pull for each gear is a beginning.',
    },
    {
      done: false, text: measured ? 'Now ask above: pick the sled you know, its gear, and the other sled.'
        : 'Then ask here: which gear on one tops out nearest to a gear on the other?',
    },
  ];
  const current = steps.findIndex(({ done }) => !done);
  return el('div', { class: 'first-steps' },
    el('ol', {}, ...steps.map(({ done, text, href, word, other }, place) => el('li', place === current ? { 'aria-current': 'step' } : {},
      done ? `Done: ${done}` : text, place === current && href ? el('p', { class: 'actions' },
        el('a', { class: 'button primary', href }, word), other && el('a', { class: 'button', href: other.href }, other.word)) : null))),
    none && demoButton(() => location.reload()));
}
