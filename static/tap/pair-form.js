/** The pairing code, typed in the app itself: a code scanned in a browser would pair the browser. */

import { t } from '../words/index.js';
import { html } from '../ui/html.js';

export function pairForm(app, paired) {
  let code = '';
  let name = '';
  let wrong = '';
  let busy = false;

  async function send(update) {
    busy = true;
    update();
    try {
      await app.pair(code, name.trim() || t('pair.a_phone'));
      wrong = '';
      await paired();
    } catch (problem) {
      wrong = problem.errors?.code?.[0] ? t('pair.code_wrong') : t('pair.no_answer');
    }
    busy = false;
    update();
  }

  const view = (update) => html`<form class="form" onsubmit=${(event) => { event.preventDefault(); send(update); }}>
    <div class="field"><label for="code">${t('pair.code')}</label>
      <input id="code" class="code" value=${code} maxlength="9" autocapitalize="characters" autocomplete="off"
        spellcheck="false" aria-describedby="code-note" aria-invalid=${wrong ? 'true' : false}
        oninput=${(event) => { code = event.target.value; }}>
      <p id="code-note" class=${wrong ? 'bad' : 'soft'} role=${wrong ? 'alert' : false}>${wrong || t('pair.code.hint')}</p></div>
    <div class="field"><label for="phone-name">${t('pair.name')}</label>
      <input id="phone-name" value=${name} maxlength="60" autocomplete="off" oninput=${(event) => { name = event.target.value; }}></div>
    <button type="submit" class="go" disabled=${busy}>${t(busy ? 'pair.busy' : 'pair.pair')}</button>
  </form>`;
  return { view };
}
