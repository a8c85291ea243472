/**
 * What was recorded before this phone belonged to a site takes its site up when it is paired. Such an entry has never
 * been stored anywhere else, so this changes nothing that anybody has seen.
 */
import { announce } from './changes.js';
import { ask, inOneTransaction } from './database.js';
import { refold } from './record.js';

/** Facts that a site owns; the server refuses them without one. */
const SITE_KINDS = ['shot', 'water', 'tally', 'cartridge', 'milk_jug', 'fridge_check', 'care_done', 'handover', 'tasting',
  'event'];

/** @returns {Promise<number>} how many records took up the site */
export async function adoptSite(siteId) {
  const adopted = await inOneTransaction(['outbox', 'mirror', 'records'], 'readwrite', async (tx) => {
    const outbox = tx.objectStore('outbox');
    const homeless = (await ask(outbox.getAll())).filter(isHomeless);
    for (const entry of homeless) await ask(outbox.put({ ...entry, fields: { ...entry.fields, site_id: siteId } }));
    return refold(tx, homeless.map((entry) => entry.record_id));
  }, 'strict');
  if (adopted.length) announce('saved', { entries: [], records: adopted });
  return adopted.length;
}

/** The entry that made a record, from a time when the phone had no site: only that one has all the needed fields. */
function isHomeless({ kind, fields, base }) {
  return SITE_KINDS.includes(kind) && !fields.site_id && Object.keys(fields).length > 0 && Object.keys(base ?? {}).length === 0;
}
