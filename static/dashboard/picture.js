/**
 * The picture on the manager's screen: fetched again and again while somebody looks, kept for when nobody answers.
 * A request that finds nothing new costs the server next to nothing, so it may be asked often.
 */

import { ask } from './api.js';
import { forget, recall, remember } from './kept.js';

const ASK_AGAIN_MS = 2_500;
const NO_ANSWER_MS = 15_000;

/** @type {{picture: object|null, outcome: 'waiting'|'fresh'|'no_answer'|'sign_in'}} */
export const shown = { picture: null, outcome: 'waiting' };

let etag = null;
let choice = '';
let timer;
let tell = null;

/** Starts to look; `changed` is called whenever what is to be shown has changed. */
export function look(query, changed) {
  if (!tell) {
    document.addEventListener('visibilitychange', () => document.visibilityState === 'visible' && lookNow());
    addEventListener('online', lookNow);
  }
  tell = changed;
  return choose(query);
}

/** Another site, or another stretch of time. */
export function choose(query) {
  choice = query;
  etag = null;
  return lookNow();
}

export async function lookNow() {
  clearTimeout(timer);
  const asked = choice;
  const answer = await ask('GET', `/api/dashboard${asked}`, undefined, etag ? { 'If-None-Match': etag } : {});
  if (asked !== choice) return; // somebody chose another one meanwhile
  take(answer);
  clearTimeout(timer);
  const wait = shown.outcome === 'no_answer' ? NO_ANSWER_MS : ASK_AGAIN_MS;
  if (shown.outcome !== 'sign_in') timer = setTimeout(whileSeen, wait);
}

function whileSeen() {
  // Hidden pages ask nothing; becoming visible asks at once.
  if (document.visibilityState === 'visible') lookNow();
}

function take(answer) {
  const before = shown.outcome;
  if (answer.status === 200) {
    ({ body: shown.picture, etag } = answer);
    shown.outcome = 'fresh';
    remember('picture', { choice, picture: shown.picture });
    tell();
  } else if (answer.status === 304) {
    shown.outcome = 'fresh';
    if (before !== 'fresh') tell();
  } else if (answer.status === 401 || answer.status === 403) {
    leave();
    tell();
  } else {
    shown.outcome = 'no_answer';
    shown.picture ??= lastOf(choice);
    tell();
  }
}

/** What was on this screen is nobody else's business. */
export function leave() {
  clearTimeout(timer);
  forget('picture');
  etag = null;
  Object.assign(shown, { picture: null, outcome: 'sign_in' });
}

function lastOf(wanted) {
  const last = recall('picture', null);
  return last && last.choice === wanted ? last.picture : null;
}
