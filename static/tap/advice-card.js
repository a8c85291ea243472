/**
 * The next move, right above the button: shape and word for arm's length. The whole card opens the reasons. When
 * all is well it says nothing but its shape.
 */

import { has, t } from '../words/index.js';
import { html } from '../ui/html.js';
import { move } from '../ui/shapes.js';

export function adviceCard({ advice, size, reasons }) {
  const silent = advice === 'hold';
  const word = adviceWord(advice, size);
  return html`<a class="advice ${silent ? 'silent' : ''} ${advice === 'too_early_to_say' ? 'early' : ''}" href="#/why">
    ${move(advice)}
    <span class=${silent ? 'unseen' : 'words'}><b>${word}</b> <small>${reasons[0] ?? t('advice.why')}</small></span></a>`;
}

/** "Coarser, 1 step" */
export function adviceWord(advice, size) {
  const word = t(has(`advice.${advice}`) ? `advice.${advice}` : 'advice.too_early_to_say');
  return size && has(`advice.size.${advice}`) ? `${word}, ${t(`advice.size.${advice}`, { n: size })}` : word;
}
