/** How things stand with the server, in plain words. No network is an ordinary day at a cart, never an alarm. */

import { t } from '../words/index.js';

/**
 * @param {{waiting: number, refused: number, outcome: string, last_sync_at: string|null, syncing: boolean}} status
 * @returns {{text: string, mark: string, tone: string, href: string}}
 */
export function syncWords({ waiting, refused, outcome, last_sync_at, syncing }, paired, nearlyFull = false) {
  const say = (key, mark, tone, vars) => ({ text: t(key, vars), mark, tone, href: '#/waiting' });
  if (refused > 0) return say('sync.needs_you', 'look', 'warn', { n: refused });
  if (outcome === 'storage') return say('sync.storage', 'over', 'bad');
  if (nearlyFull) return say('sync.nearly_full', 'look', 'warn');
  // Just paired and already talking: the last answer is out of date.
  if (paired && outcome === 'pair_again' && !syncing) return say('sync.pair_again', 'look', 'warn');
  if (paired && outcome === 'update_app') return say('sync.update_to_send', 'look', 'warn');
  if (waiting > 0) return say('sync.on_phone', 'waiting', '', { n: waiting });
  if (last_sync_at) return say('sync.all_there', 'done', 'ok');
  return say('sync.nothing_yet', 'waiting', '');
}
