/** Which bag this lane pulls from: those in use, the one to use first on top. */

import { save } from '../outbox/save.js';
import { localIso } from '../outbox/time.js';
import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { say } from '../ui/bar.js';
import { bagsInUse, conditionOf, nameOf } from './bench.js';
import { bagText, byFirstToLeave, freshnessTag } from './freshness.js';
import { siteId } from './here.js';
import { lane, laneName, putBagInLane, putInLane } from './lanes.js';
import { backBar, heading, option } from './parts.js';

export function mount(place, app) {
  async function choose(bag) {
    const was = lane();
    putBagInLane(bag.id);
    // A bag that is pulled from is open, whether or not anybody said so: the record says when.
    const opened = conditionOf(bag.id) === 'sealed' ? await openBag(bag.id) : null;
    say(t('said.bag', { coffee: nameOf('coffee', bag.fields.coffee_id) }), async () => {
      putInLane({ bag_id: was.bag_id, recipe_id: was.recipe_id });
      if (opened) await save([{ kind: 'bag_event', record_id: opened.id, retract: true }]);
      app.refresh();
    });
    app.finish('#/pull');
  }

  function update() {
    const bags = byFirstToLeave(bagsInUse(siteId()));
    show(place.top, heading(t('bag'), t('bag.for_lane', { lane: t(`lane.${laneName()}`) })));
    show(place.main, html`<div class="low page">
      ${bags.length === 0 && html`<p>${t('bag.none')}</p>`}
      ${bags.reverse().map((bag) => option({
        key: bag.id, title: nameOf('coffee', bag.fields.coffee_id), note: bagText(bag), tail: freshnessTag(bag.id),
        chosen: bag.id === lane().bag_id, onclick: () => choose(bag),
      }))}
    </div>`);
    show(place.bar, backBar('#/pull', { label: t('bag.arrived'), onclick: () => app.go('#/bag/new?then=pull') }));
  }

  update();
  // The one to use first stands lowest, by the thumb: a long shelf starts there.
  place.main.parentElement.scrollTop = place.main.parentElement.scrollHeight;
  return { update };
}

export async function openBag(bagId) {
  const fields = { bag_id: bagId, at: localIso(), what: 'opened' };
  const [event] = await save([{ kind: 'bag_event', fields }]);
  return event;
}
