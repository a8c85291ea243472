/** Being allowed to sync. What is on this phone doesn't depend on it: a refusal, or a new site, loses nothing. */
import { leaveSite } from '../outbox/mirror.js';
import { getMeta, setMeta } from '../outbox/meta.js';
import { get, post } from './wire.js';

/**
 * Pair this phone by a code that the manager reads out.
 * @returns {Promise<{phone_id: string, site_id: string, name: string}>}
 * @throws {Error} with `outcome` and `errors` {field: [text]}; the phone is as it was
 */
export async function pair(code, phoneName) {
  const { outcome, answer, errors } = await post('/api/pair', { code, name: phoneName });
  if (outcome !== 'delivered') throw Object.assign(new Error(`not paired: ${outcome}`), { outcome, errors: errors ?? {} });
  return settle(answer);
}

/** Ask the server whose this phone is: the manager may have moved it. Null where it doesn't say. */
export async function askWhose() {
  const { outcome, answer } = await get('/api/phone');
  return outcome === 'delivered' ? settle(answer) : null;
}

async function settle({ phone_id, site_id, name }) {
  const before = await getMeta('phone');
  if (before && before.site_id !== site_id) await leaveSite();
  const phone = { phone_id, site_id, name };
  await setMeta('phone', phone);
  return phone;
}
