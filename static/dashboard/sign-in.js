/** Signing in, and the first manager of a new store. */

import { html } from '../ui/html.js';
import { t } from '../words/index.js';
import { ask, remedy } from './api.js';

const state = { problem: '', busy: false };

/** The one-time token that the first start printed, if this is its link. */
export function firstToken() {
  return new URLSearchParams(location.hash.slice(1)).get('first');
}

/** @param {{repaint: Function, signedIn: Function}} desk */
export function signIn({ repaint, signedIn }) {
  const token = firstToken();
  const send = async (event) => {
    event.preventDefault();
    const { name, password } = Object.fromEntries(new FormData(event.target));
    state.busy = true;
    repaint();
    const answer = token
      ? await ask('POST', '/api/first-manager', { token, name, password })
      : await ask('POST', '/api/session', { name, password });
    Object.assign(state, { busy: false, problem: problemOf(answer) });
    if (state.problem) return repaint();
    // The token is used up, and no business of the history's.
    if (token) history.replaceState(null, '', location.pathname);
    return signedIn();
  };
  return html`<main class="door" data-key="door">
    <h1>${token ? t('first.title') : t('sign_in.title')}</h1>
    <p>${token ? t('first.what') : t('sign_in.what')}</p>
    <form onsubmit=${send}>
      <label for="name">${t('name')}</label>
      <input id="name" name="name" required maxlength="60" autocomplete="username">
      <label for="password">${t('password')}</label>
      <input id="password" name="password" type="password" required maxlength="400" minlength=${token ? 12 : 1}
        autocomplete=${token ? 'new-password' : 'current-password'} aria-describedby="password-note">
      <p id="password-note" class="soft">${token ? t('first.password') : ''}</p>
      <p class="bad" role="alert">${state.problem}</p>
      <button class="main" disabled=${state.busy}>${token ? t('first.make') : t('sign_in')}</button>
    </form>
  </main>`;
}

function problemOf(answer) {
  if (answer.status === 200 || answer.status === 201) return '';
  if (answer.status === 0) return t('no_answer.try_again');
  if (answer.status === 401) return t('sign_in.wrong');
  return remedy(answer);
}
