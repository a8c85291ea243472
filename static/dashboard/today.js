/** The working day so far: four figures large, and site beside site where there are several. */

import { number } from '../ui/format.js';
import { html } from '../ui/html.js';
import { t } from '../words/index.js';
import { table } from './table.js';

export function today(picture, names) {
  const [all, ...each] = picture.today;
  return html`<section id="today" aria-labelledby="today-h" data-key="today">
    <h2 id="today-h">${t('today.title')}</h2>
    ${all ? numerals(all) : html`<p>${t('no_sites')}</p>`}
    ${each.length > 0 && compared(each, names)}
  </section>`;
}

function numerals(day) {
  const { on_recipe: on } = day;
  return html`<dl class="numerals">
    ${numeral(day.logged, loggedOf(day))}
    ${numeral(on.of === 0 ? '–' : on.on, on.of === 0 ? t('on_recipe.none') : t('on_recipe.of', { of: on.of, ...percent(on) }))}
    ${numeral(`${number(day.sunk_g, 0)} g`, t('sunk_in', { n: day.sunk }))}
    ${numeral(day.practice + day.dial_in + day.warm_up, t('not_for_guests', day))}
  </dl>`;
}

/** Most pulls are only counted, and the count comes at the end of the day: until then, what a usual day has. */
function loggedOf({ logged, tallied, usual }) {
  if (tallied !== null) return t('logged_of', { n: logged, of: tallied });
  return Number.isFinite(usual) ? t('logged_usual', { n: logged, usual }) : t('logged', { n: logged });
}

function numeral(figure, words) {
  return html`<div><dt>${words}</dt><dd>${figure}</dd></div>`;
}

/** A share and its interval as whole percents. */
export function percent({ share, low, high }) {
  const whole = (part) => number(100 * part, 0);
  return { share: whole(share), low: whole(low), high: whole(high) };
}

function compared(lines, names) {
  return table({
    caption: t('today.compared'),
    columns: [
      { name: t('site') }, { name: t('col.logged'), number: true }, { name: t('col.on_recipe'), number: true },
      { name: t('col.sunk'), number: true }, { name: t('col.not_for_guests'), number: true },
    ],
    rows: lines.map((line) => [
      names.site(line.site_id), line.tallied === null ? line.logged : t('of_about', { n: line.logged, of: line.tallied }),
      line.on_recipe.of === 0 ? '–' : t('share', { on: line.on_recipe.on, of: line.on_recipe.of, ...percent(line.on_recipe) }),
      `${number(line.sunk_g, 0)} g`, line.practice + line.dial_in + line.warm_up,
    ]),
  });
}
