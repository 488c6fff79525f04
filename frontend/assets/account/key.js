// @ts-check
// Sends requests that need a key. Asks for a sign-in when nobody is signed in or the role does not suffice, then sends again.

import { Problem } from '../lib/api.js';
import { isolated, sentence } from '../lib/text.js';
import { askSession, refreshSession, session, sessionEnded } from './session.js';

/** Asks for a sign-in, with what is needed only then. @param {string} [why] */
export async function askToSignIn(why) {
  return (await import('./signin.js')).askToSignIn(why);
}

/** Thrown when the person does not want to sign in. Nothing was sent. */
class NotSignedIn extends Problem {
  constructor() {
    super(401, 'Not signed in', 'Nothing was sent: this needs somebody to be signed in. What you typed is still here.');
  }
}

/**
 * Sends a request that needs a key.
 * @template T
 * @param {() => Promise<T>} send
 * @returns {Promise<T>}
 * @throws {Problem}
 */
export async function withKey(send) {
  const who = await askSession();
  if (who && !who.signed_in && !await askToSignIn()) throw new NotSignedIn();
  for (;;) {
    try {
      return await send();
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      if (error.status === 401) {
        await sessionEnded();
        if (!await askToSignIn(ENDED)) throw new NotSignedIn();
      } else if (isForbidden(error)) {
        const reason = forbiddenWords(error);
        if (!await askToSignIn(`${reason} What you typed is still here: give a key that may do it, or cancel.`)) {
          throw new Problem(403, error.title, `${reason} Nothing was changed, and what you typed is still here.`, error.faults);
        }
      } else throw error;
    }
  }
}

/** The message when a session has ended. */
const ENDED = 'You are no longer signed in: the key or its time has ended. ' +
  'What you typed is still here, and is sent once you have signed in.';

/**
 * Whether the request was refused because of the role. A manager may do everything, so a 403 has another reason then.
 * @param {Problem} problem
 */
export function isForbidden(problem) {
  return problem.status === 403 && session()?.role !== 'manager';
}

/** The message for such a refusal: who is signed in, and what the role lacks. @param {Problem} problem */
export function forbiddenWords(problem) {
  const who = session();
  if (!who) refreshSession();
  return `${who?.signed_in ? `You are signed in as ${isolated(who.name ?? '')}, ${who.role}. ` : ''}${sentence(problem.message)}`;
}
