/** Wires the manager's screen: words, what was chosen, the picture, and painting it. */

import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { preferred, speak, t } from '../words/index.js';
import { ask } from './api.js';
import { board } from './board.js';
import { recall, remember } from './kept.js';
import { choose, leave, look, lookNow, shown } from './picture.js';
import { firstToken, signIn } from './sign-in.js';

const place = document.getElementById('desk');
const choice = { site_id: null, weeks: 6, series: null, language: null, ...recall('choice', {}) };
const DAY_MS = 86_400_000;

const acts = {
  repaint: paint,
  lookNow,
  site: (id) => decide({ site_id: id }),
  weeks: (weeks) => decide({ weeks }),
  series: (series) => keep({ series }),
  async language(code) {
    await words(code);
    keep({ language: code });
  },
  async signOut() {
    const answer = await ask('DELETE', '/api/session');
    if (answer.status !== 200) return;
    leave();
    paint();
  },
};

function keep(change) {
  Object.assign(choice, change);
  remember('choice', choice);
  paint();
}

function decide(change) {
  keep(change);
  choose(query());
}

/** What to ask for: the server's own six weeks need no dates. */
function query() {
  const asked = new URLSearchParams();
  if (choice.site_id) asked.set('site_id', choice.site_id);
  if (choice.weeks !== 6) asked.set('from', new Date(Date.now() - (7 * choice.weeks - 1) * DAY_MS).toISOString().slice(0, 10));
  return asked.size > 0 ? `?${asked}` : '';
}

function paint() {
  const { picture, outcome } = shown;
  document.title = t('desk');
  if (firstToken() || outcome === 'sign_in') show(place, signIn({ repaint: paint, signedIn }));
  else if (picture) show(place, board({ picture, outcome, choice, acts, width: widthOfMain() }));
  else show(place, nothingYet(outcome === 'waiting' ? t('fetching') : t('no_picture')));
}

const nothingYet = (words) => html`<main class="door"><h1>${t('desk')}</h1><p role="status">${words}</p></main>`;

function signedIn() {
  shown.outcome = 'waiting';
  paint();
  look(query(), paint);
}

/** Charts are drawn to the width they get, so that their letters are never scaled. */
function widthOfMain() {
  const main = document.querySelector('main#main');
  const room = main ? main.clientWidth : Math.min(document.documentElement.clientWidth, 1240);
  const side = main ? 2 * parseFloat(getComputedStyle(main).paddingLeft) : 48;
  return Math.max(room - side, 280);
}

async function words(code) {
  await speak(code, navigator.languages, (name) => import(`./words/${name}.js`));
  document.documentElement.lang = code;
}

async function start() {
  await words(preferred(choice.language, navigator.languages));
  paint();
  let width = document.documentElement.clientWidth;
  addEventListener('resize', () => {
    if (document.documentElement.clientWidth === width) return;
    width = document.documentElement.clientWidth;
    paint();
  });
  if (!firstToken()) await look(query(), paint);
  keepPage();
}

/** So that the page opens with no network, too. Where that can't be, everything else works the same. */
async function keepPage() {
  const workers = navigator.serviceWorker;
  if (!workers) return;
  const known = Boolean(workers.controller);
  await workers.register('/dashboard/sw.js', { scope: '/manage', updateViaCache: 'none' });
  const { active } = await workers.ready;
  // What came before the worker did has passed it by.
  if (!known) active.postMessage([location.pathname, ...performance.getEntriesByType('resource').map((entry) => entry.name)]);
}

start();
