/** What is on this phone only, what needs a person, and the ways to move it: send now, as a file, from a file. */

import { exportPhone, takeIn } from '../outbox/carry.js';
import { refusedEntries, withdraw } from '../outbox/refused.js';
import { t, tOr } from '../words/index.js';
import { dayAndClock } from '../ui/format.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { mark } from '../ui/shapes.js';
import { say } from '../ui/bar.js';
import { paired } from './here.js';
import { backBar, fieldWord, heading } from './parts.js';
import { syncWords } from './sync-words.js';

export function mount(place, app) {
  let taken = null;

  async function update() {
    const refused = await refusedEntries();
    const { status } = app;
    const { text, mark: name } = syncWords(status.current, paired());
    show(place.top, heading(t('setup.waiting')));
    show(place.main, html`<div class="low page">
      <p class="result">${mark(name)} ${text}</p>
      <p class="soft">${outcomeText(status.current)}</p>
      ${refused.length > 0 && html`<h2>${t('sync.needs_you', { n: refused.length })}</h2>`}
      <ul class="plain">${refused.map((one) => refusedRow(one, update))}</ul>
      <p>${t('waiting.safe')}</p>
      ${taken && html`<p role="status">${t('carry.taken', { taken: taken.taken, known: taken.known, wrong: taken.wrong.length })}</p>`}
      <button type="button" class="ghost" onclick=${exportFile}>${t('carry.export')}</button>
      <label class="ghost button file"><span>${t('carry.take_in')}</span>
        <input type="file" accept=".jsonl,application/x-ndjson" class="unseen" onchange=${(event) => take(event.target.files[0])}></label>
    </div>`);
    show(place.bar, backBar('#/setup', paired() ? { label: t('sync.now'), onclick: () => app.syncNow(), disabled: status.current.syncing }
      : { label: t('pair.pair'), onclick: () => app.go('#/setup/phone') }));
  }

  async function take(file) {
    if (!file) return;
    taken = await takeIn(file);
    await update();
  }

  app.status.addEventListener('change', update);
  return { ready: update(), update, unmount: () => app.status.removeEventListener('change', update) };
}

function outcomeText({ outcome, last_sync_at, syncing }) {
  if (syncing) return t('sync.syncing');
  const last = last_sync_at ? t('sync.last', { at: dayAndClock(last_sync_at) }) : t('sync.never');
  return `${t(`outcome.${outcome}`)} ${last}`;
}

/** Hands the file to the phone's own share sheet where it has one, else downloads it. */
async function exportFile() {
  const { name, blob } = await exportPhone();
  const file = new File([blob], name, { type: blob.type });
  if (navigator.canShare?.({ files: [file] })) {
    await navigator.share({ files: [file] }).catch(() => null);
    return;
  }
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

function refusedRow({ entry, errors, reason }, update) {
  const lines = Object.entries(errors ?? {}).map(([name, texts]) => `${fieldWord(name)}: ${texts.join('; ')}`);
  const away = async () => {
    await withdraw(entry.entry_id);
    say(t('said.let_go'));
    await update();
  };
  return html`<li class="refused" data-key=${entry.entry_id}>
    <p><b>${mark('look')} ${tOr(`kind.one.${entry.kind}`, entry.kind)}</b> <small>${dayAndClock(entry.made_at)}</small></p>
    <p>${tOr(`refused.${reason}`, t('refused.other'))}</p>
    ${lines.map((line) => html`<p class="bad">${line}</p>`)}
    <div class="pair"><button type="button" class="ghost" onclick=${away}>${t('refused.let_go')}</button>
      <a class="go button" href="#/mend/${entry.entry_id}">${t('refused.mend')}</a></div></li>`;
}
