/** The phones: when each was last heard from, taking a pairing away, and making a code for a new one. */

import { html } from '../ui/html.js';
import { clock } from '../ui/format.js';
import { t } from '../words/index.js';
import { ask, remedy } from './api.js';
import { ago } from './decisions.js';

const state = { code: null, problem: '', asked: null, site_id: null };

/** @param {{names: object, repaint: Function, lookNow: Function}} board */
export function phones(picture, { names, repaint, lookNow }) {
  return html`<section id="phones" aria-labelledby="phones-h" data-key="phones">
    <h2 id="phones-h">${t('phones.title')}</h2>
    ${picture.phones.length === 0 ? html`<p>${t('phones.none')}</p>` : list(picture.phones, names, repaint, lookNow)}
    ${picture.sites.length > 0 && pairing(picture, repaint)}
    ${state.problem && html`<p class="bad" role="alert">${state.problem}</p>`}
  </section>`;
}

function list(items, names, repaint, lookNow) {
  return html`<ul class="handsets">${items.map((phone) => html`<li data-key=${phone.id}>
    <span><b>${phone.name}</b><small>${standing(phone, names)}</small></span>${takeAway(phone, repaint, lookNow)}</li>`)}</ul>`;
}

function standing(phone, names) {
  const heard = t('phones.heard', { ago: phone.hours_since === null ? t('never') : ago(phone.hours_since) });
  return [names.site(phone.site_id), heard, phone.waiting > 0 && t('phones.waiting', { n: phone.waiting })].filter(Boolean).join(' · ');
}

/** Taking a pairing away can't be undone, so it takes two taps on two words. */
function takeAway(phone, repaint, lookNow) {
  const askFirst = () => {
    state.asked = phone.id;
    repaint();
  };
  const really = async () => {
    const answer = await ask('DELETE', `/api/phones/${phone.id}`);
    state.asked = null;
    state.problem = answer.status === 200 ? '' : remedy(answer) || t('no_answer.try_again');
    repaint();
    lookNow();
  };
  return state.asked === phone.id
    ? html`<button type="button" class="small danger" onclick=${really}>${t('phones.really', { name: phone.name })}</button>`
    : html`<button type="button" class="small" aria-label=${t('phones.take_away_of', { name: phone.name })}
        onclick=${askFirst}>${t('phones.take_away')}</button>`;
}

function pairing({ sites, site_id: shownSite }, repaint) {
  const chosen = state.site_id ?? shownSite ?? sites[0].id;
  const make = async (event) => {
    event.preventDefault();
    const answer = await ask('POST', '/api/pairings', { site_id: chosen });
    state.code = answer.status === 201 ? answer.body : null;
    state.problem = answer.status === 201 ? '' : remedy(answer) || t('no_answer.try_again');
    repaint();
  };
  return html`<form class="line" onsubmit=${make} data-key="pairing">
    <label>${t('pairing.for')} <select onchange=${(event) => { state.site_id = event.target.value; }}>${sites.map((site) =>
      html`<option value=${site.id} selected=${site.id === chosen}>${site.name}</option>`)}</select></label>
    <button>${t('pairing.make')}</button>
    ${state.code && html`<div class="code" role="status"><b>${state.code.code}</b>
      <p>${t('pairing.how', { address: `${location.origin}/`, until: clock(state.code.expires_at) })}</p></div>`}
  </form>`;
}
