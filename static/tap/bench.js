/**
 * The shared things a barista reaches for (people, coffees, bags, grinders, recipes), held in memory so that a
 * screen is drawn without waiting. Loaded once, then kept up to date by what is saved here or arrives by sync.
 */

import { recordsOf, record } from '../outbox/records.js';
import { changes } from '../outbox/changes.js';

const KINDS = ['site', 'person', 'coffee', 'grinder', 'machine', 'recipe', 'bag', 'bag_event', 'grind_change',
  'grinder_event'];

/** @type {Map<string, Map<string, object>>} kind -> id -> record */
const held = new Map(KINDS.map((kind) => [kind, new Map()]));

/** @type {Map<string, any>} what was last listed; emptied by every change */
const listed = new Map();

/** Tells screens that something they may show has changed. */
export const bench = new EventTarget();

export async function loadBench() {
  await Promise.all(KINDS.map(async (kind) => {
    const found = await recordsOf(kind, { retracted: true });
    held.set(kind, new Map(found.map((one) => [one.id, one])));
  }));
  listed.clear();
}

/** Starts listening; called once, after the first load. */
export function keepBench() {
  changes.addEventListener('saved', ({ detail }) => {
    detail.records.forEach(hold);
    bench.dispatchEvent(new Event('change'));
  });
  changes.addEventListener('taken', async ({ detail }) => {
    // A snapshot touches thousands of records; reading our few kinds again is then the shorter way.
    if (!detail?.record_ids || detail.record_ids.length > 50) await loadBench();
    else (await Promise.all(detail.record_ids.map(record))).forEach(hold);
    bench.dispatchEvent(new Event('change'));
  });
  for (const type of ['refused', 'cleared']) {
    changes.addEventListener(type, async () => {
      await loadBench();
      bench.dispatchEvent(new Event('change'));
    });
  }
}

function hold(one) {
  if (!one || !held.has(one.kind)) return;
  held.get(one.kind).set(one.id, one);
  listed.clear();
}

/** Records of a kind that haven't been withdrawn, oldest first. Listed once between two changes: never alter it. */
export function all(kind) {
  if (!listed.has(kind)) {
    const there = [...held.get(kind).values()].filter((one) => !one.retracted);
    listed.set(kind, there.sort((a, b) => (a.made_at < b.made_at ? -1 : 1)));
  }
  return listed.get(kind);
}

/** The record with that id, withdrawn or not: an old shot still names its bag. */
export function one(kind, id) {
  return held.get(kind).get(id);
}

export const nameOf = (kind, id) => one(kind, id)?.fields.name ?? '';

export function coffeeOfBag(bagId) {
  const bag = one('bag', bagId);
  return bag && one('coffee', bag.fields.coffee_id);
}

/** What happened to a bag, in the order in which it happened. */
export function eventsOf(bagId) {
  if (!listed.has('events')) listed.set('events', eventsByBag());
  return listed.get('events').get(bagId) ?? [];
}

function eventsByBag() {
  const byBag = new Map();
  const inOrder = [...all('bag_event')].sort((a, b) => Date.parse(a.fields.at) - Date.parse(b.fields.at));
  for (const event of inOrder) {
    const { bag_id } = event.fields;
    byBag.set(bag_id, [...(byBag.get(bag_id) ?? []), event]);
  }
  return byBag;
}

/** Where a bag stands: sealed, open, frozen or finished. */
export function conditionOf(bagId) {
  let condition = 'sealed';
  for (const { fields } of eventsOf(bagId)) {
    if (fields.what === 'opened') condition = 'open';
    else if (fields.what === 'frozen') condition = 'frozen';
    else if (fields.what === 'finished') condition = 'finished';
    else if (fields.what === 'thawed') condition = wasOpened(bagId, fields.at) ? 'open' : 'sealed';
  }
  return condition;
}

function wasOpened(bagId, before) {
  return eventsOf(bagId).some(({ fields }) => fields.what === 'opened' && Date.parse(fields.at) < Date.parse(before));
}

/** Where a bag is: where it was last moved to, else where it arrived. */
function siteOfBag(bag) {
  const moves = eventsOf(bag.id).filter(({ fields }) => fields.what === 'moved' && fields.to_site_id);
  return moves[moves.length - 1]?.fields.to_site_id ?? bag.fields.site_id;
}

/** Bags that can be pulled from here; one that nobody has said the place of is everywhere. */
export function bagsInUse(siteId) {
  const here = (bag) => !siteId || !siteOfBag(bag) || siteOfBag(bag) === siteId;
  return all('bag').filter((bag) => conditionOf(bag.id) !== 'finished' && here(bag));
}

/** The grinders that stand here, and those that nobody has said the place of. */
export function grindersAt(siteId) {
  return all('grinder').filter(({ fields }) => !siteId || !fields.site_id || fields.site_id === siteId);
}

/** The last setting of a grinder; undefined where nobody has said. */
export function settingOf(grinderId) {
  const [last] = all('grind_change')
    .filter((change) => change.fields.grinder_id === grinderId)
    .sort((a, b) => Date.parse(b.fields.at) - Date.parse(a.fields.at));
  return last?.fields.setting;
}

/** A recipe that another one names as replaced is history. */
export function recipesFor(coffeeId) {
  const replaced = new Set(all('recipe').map((recipe) => recipe.fields.replaces));
  return all('recipe')
    .filter((recipe) => !replaced.has(recipe.id) && (!coffeeId || recipe.fields.coffee_id === coffeeId))
    .reverse();
}

/** The recipe that stands now where `id` once stood. */
export function currentRecipe(id) {
  let recipe = one('recipe', id);
  for (let hops = 0; recipe && hops < 100; hops += 1) {
    const next = all('recipe').find((other) => other.fields.replaces === recipe.id);
    if (!next) return recipe;
    recipe = next;
  }
  return recipe;
}
