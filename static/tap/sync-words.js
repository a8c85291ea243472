/** How things stand with the server, in plain words. No network is an ordinary day at a cart, never an alarm. */

import { t } from '../words/index.js';

/**
 * @param {import('../sync/status.js').Status} status
 * @returns {{text: string, mark: string, tone: string, href: string}}
 */
export function syncWords({ waiting, refused, outcome, last_sync_at }, paired, nearlyFull = false) {
  const say = (key, mark, tone, vars) => ({ text: t(key, vars), mark, tone, href: '#/waiting' });
  if (refused > 0) return say('sync.needs_you', 'look', 'warn', { n: refused });
  if (outcome === 'storage') return say('sync.storage', 'over', 'bad');
  if (nearlyFull) return say('sync.nearly_full', 'look', 'warn');
  if (paired && outcome === 'pair_again') return say('sync.pair_again', 'look', 'warn');
  if (paired && outcome === 'update_app') return say('sync.update_to_send', 'look', 'warn');
  if (waiting > 0) return say('sync.on_phone', 'waiting', '', { n: waiting });
  if (last_sync_at) return say('sync.all_there', 'done', 'ok');
  return say('sync.nothing_yet', 'waiting', '');
}
