/** The whole picture, section by section: decisions, then today, then the weeks. */

import { clock } from '../ui/format.js';
import { html } from '../ui/html.js';
import { mark } from '../ui/shapes.js';
import { LANGUAGES, spoken, t } from '../words/index.js';
import { decisions } from './decisions.js';
import { phones } from './phones.js';
import { shelf } from './shelf.js';
import { openShot } from './shot.js';
import { siteForm } from './site-form.js';
import { today } from './today.js';
import { hours, shareOnRecipe, strengthExtraction, timeToTarget, waste } from './trends.js';
import { water } from './water.js';

const WEEKS = [2, 6, 13];
const TWO_COLUMNS_FROM = 900;

/** @param {{picture: object, outcome: string, choice: object, acts: object, width: number}} desk */
export function board({ picture, outcome, choice, acts, width }) {
  const names = namesIn(picture);
  const date = dateAt(picture.made_at, names.zone(picture.site_id ?? picture.sites[0]?.id));
  const half = width >= TWO_COLUMNS_FROM ? Math.floor((width - 48) / 2) : width;
  const all = { names, width, pick: (id) => openShot(id, names), chosen: choice.series, choose: acts.series, ...acts };
  const narrow = { ...all, width: half };
  return [plate(picture, outcome, acts), choices(picture, choice, acts), html`<main id="main" data-key="main">
    ${decisions(picture, date, all)}
    ${today(picture, names)}
    ${timeToTarget(picture, all)}
    <div class="columns" data-key="shares">${shareOnRecipe(picture, narrow)}${strengthExtraction(picture, narrow)}</div>
    ${shelf(picture, date, names)}
    <div class="columns" data-key="waste">${waste(picture)}${hours(picture, narrow)}</div>
    ${water(picture, names)}
    <div class="columns" data-key="phones">${phones(picture, all)}${siteForm(picture, all)}</div>
  </main>`, foot(acts)];
}

/** The sign over the desk: whose picture this is, and of when. */
function plate(picture, outcome, acts) {
  const here = picture.sites.filter((site) => picture.site_id === null || site.id === picture.site_id);
  const fresh = outcome === 'fresh';
  return html`<header class="plate" data-key="plate">
    <h1>${here.map((site) => site.name).join(', ') || t('desk')}</h1>
    <p class=${fresh ? 'state' : 'state stale'} role="status">${fresh ? t('picture_of', { at: clock(picture.made_at) })
      : [mark('look'), ' ', t('picture_old', { at: clock(picture.made_at) })]}</p>
    <button type="button" class="out" onclick=${acts.signOut}>${t('sign_out')}</button>
  </header>`;
}

function choices(picture, choice, acts) {
  const one = (id, name) => html`<button type="button" aria-pressed=${String((choice.site_id ?? null) === id)}
    onclick=${() => acts.site(id)}>${name}</button>`;
  return html`<nav class="choices" aria-label=${t('choices')} data-key="choices">
    ${picture.sites.length > 1 && html`<div class="sites">${one(null, t('every_site'))}${
      picture.sites.map((site) => one(site.id, site.name))}</div>`}
    <label>${t('weeks.shown')} <select onchange=${(event) => acts.weeks(Number(event.target.value))}>${WEEKS.map((n) =>
      html`<option value=${n} selected=${n === choice.weeks}>${t('weeks', { n })}</option>`)}</select></label>
    <button type="button" class="print" onclick=${() => print()}>${t('print')}</button>
  </nav>`;
}

function foot(acts) {
  return html`<footer data-key="foot"><p>${t('foot')}</p>
    <label>${t('language')} <select onchange=${(event) => acts.language(event.target.value)}>${Object.entries(LANGUAGES).map(([code, name]) =>
      html`<option value=${code} lang=${code} selected=${code === spoken()}>${name}</option>`)}</select></label></footer>`;
}

function namesIn(picture) {
  const sites = Object.fromEntries(picture.sites.map((site) => [site.id, site]));
  return {
    many: picture.site_id === null && picture.sites.length > 1,
    site: (id) => sites[id]?.name ?? t('no_site'),
    zone: (id) => sites[id]?.time_zone ?? picture.sites[0]?.time_zone ?? 'UTC',
    coffee: (id) => picture.coffees[id] ?? t('coffee.unknown'),
    grinder: (id) => picture.grinders[id] ?? t('grinder.unknown'),
  };
}

/** The date at the site: what "today" is there. */
function dateAt(iso, timeZone) {
  return new Intl.DateTimeFormat('en-CA', { timeZone, year: 'numeric', month: '2-digit', day: '2-digit' }).format(new Date(iso));
}
