/** The demo's first page: what this is, and the two doors, with the code and the sign-in that open them. */

import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { preferred, speak, t } from '../words/index.js';
import { ask } from './api.js';

const code = preferred(null, navigator.languages);
await speak(code, navigator.languages, (name) => import(`./words/${name}.js`));
document.documentElement.lang = code;

const answer = await ask('GET', '/api/demo');
const facts = answer.status === 200 ? answer.body : { codes: [] };

show(document.getElementById('start'), [
  html`<header class="over-doors"><h1>${t('start.title')}</h1></header>`,
  html`<p class="what">${facts.name ? t('start.what') : t('start.none')}</p>`,
  html`<div class="doors">
    <section><a href="/">${t('start.machine')}</a><p>${t('start.machine.what')}</p>
      <dl>${facts.codes.map((pairing) => [html`<dt>${pairing.site}</dt>`, html`<dd>${pairing.code}</dd>`])}</dl></section>
    <section><a href="/manage">${t('start.desk')}</a><p>${t('start.desk.what')}</p>
      ${facts.name && html`<dl><dt>${t('name')}</dt><dd>${facts.name}</dd><dt>${t('password')}</dt><dd>${facts.password}</dd></dl>`}</section>
  </div>`,
]);
