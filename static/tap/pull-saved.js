/** Pull, stopped and saved: the shot's figures, each of which can be set right with a tap, and the next start. */

import { t } from '../words/index.js';
import { clock, number } from '../ui/format.js';
import { html } from '../ui/html.js';
import { mark } from '../ui/shapes.js';
import { adviceCard } from './advice-card.js';
import { one } from './bench.js';
import { laneStrip } from './lane-strip.js';
import { startButtons } from './pull-ready.js';
import { placeOf, ruler } from './ruler.js';
import { endsRow, extractionText, shotFigures, tasteText } from './shot-parts.js';

export function savedView({ groups, shots, showing, advice }, acts) {
  const shot = shots.get(showing);
  const { fields } = shot;
  const recipe = one('recipe', fields.recipe_id)?.fields;
  const place = placeOf(fields.time_s, recipe);
  return html`<div class="pull saved"><div class="upper">
    ${laneStrip(acts.chooseLane)}
    <div class="saved-head">${groups.length > 1 ? switcher(groups, shots, showing, acts) : savedWord(fields)}
      <button type="button" class="ghost small" onclick=${() => acts.takeBack(shot)}>${t('undo')}</button>
      <button type="button" class="ghost small" onclick=${acts.putAway}>${t('done')}</button></div>
    <div class="time-block">
      <div class="time-row"><p class="time stopped">${number(fields.time_s)}<small>s</small></p>
        <div>${place && html`<p class="place-word ${place}">${t(`place.${place}`)}</p>`}
          ${groups.length > 1 && savedWord(fields)}</div></div>
      ${ruler(recipe, fields.time_s, fields.first_drop_s)}
    </div>
    ${shotFigures(shot, acts.changed)}
    ${endsRow(shot, acts.changed)}
    <div class="pair">
      <a class="ghost button" href="#/taste/${shot.id}">${tasteText(fields.taste) ?? t('taste')}</a>
      <a class="ghost button" href="#/strength/${shot.id}">${extractionText(shot) ?? t('strength')}</a>
    </div>
    </div>
    <div class="foot">
      ${adviceCard(advice)}
      ${startButtons(groups, acts)}
    </div>
  </div>`;
}

function savedWord({ pulled_at }) {
  return html`<p class="saved-word" role="status">${mark('done')}${t('saved', { at: clock(pulled_at) })}</p>`;
}

function switcher(groups, shots, showing, acts) {
  return html`<div class="switcher" role="group" aria-label=${t('groups')}>
    ${groups.filter((group) => shots.has(group)).map((group) => html`<button type="button" class="pick"
      aria-pressed=${String(group === showing)} onclick=${() => acts.look(group)}>
      ${t(`group.${group}`)} ${number(shots.get(group).fields.time_s)}</button>`)}
  </div>`;
}
