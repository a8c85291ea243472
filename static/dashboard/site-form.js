/** A new bar or cart. The first one has to be there before any phone can be paired. */

import { html } from '../ui/html.js';
import { t } from '../words/index.js';
import { ask, remedy } from './api.js';

const EXAMPLE_CURRENCY = 'EUR';
const state = { problem: '', open: false };

export function siteForm(picture, { repaint, lookNow }) {
  const add = async (event) => {
    event.preventDefault();
    const typed = Object.fromEntries([...new FormData(event.target)].filter(([, value]) => value.trim()));
    const form = event.target;
    const answer = await ask('POST', '/api/sites', typed);
    state.problem = answer.status === 201 ? '' : remedy(answer) || t('no_answer.try_again');
    if (answer.status === 201) form.reset();
    repaint();
    lookNow();
  };
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  return html`<section id="sites" aria-labelledby="sites-h" data-key="sites">
    <h2 id="sites-h">${t('sites.title')}</h2>
    ${picture.sites.length === 0 && html`<p>${t('sites.first')}</p>`}
    <form class="line" onsubmit=${add} data-key="site">
      <label>${t('sites.name')} <input name="name" required maxlength="80" autocomplete="off"></label>
      <label>${t('sites.zone')} <input name="time_zone" required maxlength="60" value=${zone} autocomplete="off"></label>
      <label>${t('sites.currency')} <input name="currency" pattern="[A-Z]{3}" maxlength="3"
        placeholder=${EXAMPLE_CURRENCY} autocomplete="off"></label>
      <button>${t('sites.add')}</button>
    </form>
    ${state.problem && html`<p class="bad" role="alert">${state.problem}</p>`}
  </section>`;
}
