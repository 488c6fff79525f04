// @ts-check
// The labels of gears as somebody types them.

import { askWhich } from '../lib/dialogs.js';
import { counted } from '../lib/text.js';

/** The fault of a text whose question was canceled. */
export const UNCLEAR_LABELS = 'Write commas between the gears, or one on each line.';

/** Gear labels as typed, separated by commas, semicolons or line breaks. @param {string} text */
function labelsIn(text) {
  return text.split(/[,;\n]/).map((label) => label.trim()).filter((label) => label !== '');
}

/**
 * The labels in a text. Where nothing but spaces separates them, "1 2 3 4 5", it asks whether they are so many gears, or one whose
 * label has spaces, as "3 low". Null when canceled.
 * @param {string} text
 * @returns {Promise<string[]|null>}
 */
export async function askLabels(text) {
  const labels = labelsIn(text);
  const words = labels.length === 1 ? labels[0].split(/\s+/) : [];
  if (words.length < 2 || new Set(words).size < words.length) return labels;
  const which = await askWhich({
    title: `${counted(words.length, 'gear')}, or one?`,
    explain: `“${labels[0]}” holds spaces and no comma.`,
    choices: [
      { value: 'each', label: `${counted(words.length, 'gear')}: ${words.join(', ')}` },
      { value: 'one', label: `One gear: “${labels[0]}”` },
    ],
  });
  return which === 'each' ? words : which === 'one' ? labels : null;
}
