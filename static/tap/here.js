/** Who holds this phone, and where: what every record made here says without being asked. */

import { getMeta } from '../outbox/meta.js';
import { read, write } from '../outbox/preferences.js';
import { all, one } from './bench.js';

let phone;

export async function loadHere() {
  phone = await getMeta('phone');
}

export const paired = () => Boolean(phone);
export const phoneName = () => phone?.name;

/** The site of this phone; a phone that was never paired has none yet, and its records take it up on pairing. */
export const siteId = () => phone?.site_id;
export const site = () => one('site', phone?.site_id) ?? all('site')[0];

export function personId() {
  const id = read('person', null);
  return id && one('person', id) && !one('person', id).retracted ? id : undefined;
}

export function choosePerson(id) {
  write('person', id);
}

/** The groups of the machine here, as shots name them. */
export function groups() {
  return { 1: ['one'], 2: ['left', 'right'], 3: ['left', 'middle', 'right'] }[read('groups', 1)];
}

/** When the working day began that `now` belongs to: 04:00 local unless the site says otherwise. */
export function dayStart(now = new Date(), startsAt = site()?.fields.day_starts_at ?? '04:00') {
  const [hour, minute] = startsAt.split(':').map(Number);
  const start = new Date(now);
  start.setHours(hour, minute, 0, 0);
  if (start > now) start.setDate(start.getDate() - 1);
  return start;
}
