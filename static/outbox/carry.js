/**
 * The last resort: everything that this phone holds, as a file, and such a file taken in. JSON lines; the first says
 * what the file is, each other holds one entry. Taking the same file in twice changes nothing.
 */
import { announce } from './changes.js';
import { ask, inOneTransaction } from './database.js';
import { isId } from './ids.js';
import { refold } from './record.js';
import { localIso, utcIso } from './time.js';
import { APP, PROTOCOL } from './version.js';

const HELD = ['outbox', 'refused', 'mirror'];

/** @returns {Promise<{name: string, blob: Blob}>} */
export async function exportPhone() {
  const { phone, ...held } = await inOneTransaction([...HELD, 'meta'], 'readonly', async (tx) => {
    const [outbox, refused, mirror] = await Promise.all(HELD.map((name) => ask(tx.objectStore(name).getAll())));
    return { outbox, refused, mirror, phone: (await ask(tx.objectStore('meta').get('phone')))?.value };
  });
  const made_at = localIso();
  const lines = [
    { evenpull: 'entries of one phone', protocol: PROTOCOL, app: APP, made_at, phone: phone?.name ?? null },
    ...held.outbox.map((entry) => ({ held: 'outbox', entry })),
    ...held.refused.map(({ entry, reason, errors }) => ({ held: 'refused', entry, reason, errors })),
    ...held.mirror.map((entry) => ({ held: 'mirror', entry })),
  ];
  const text = lines.map((line) => `${JSON.stringify(line)}\n`).join('');
  return { name: `evenpull-${made_at.slice(0, 10)}.jsonl`, blob: new Blob([text], { type: 'application/x-ndjson' }) };
}

/**
 * @param {Blob} file
 * @returns {Promise<{taken: number, known: number, wrong: {line: number, text: string}[]}>}
 */
export async function takeIn(file) {
  const { entries, wrong } = readLines(await file.text());
  const result = await inOneTransaction([...HELD, 'records'], 'readwrite', (tx) => offer(tx, entries), 'strict');
  if (result.taken.length) announce('saved', { entries: result.taken, records: result.records });
  return { taken: result.taken.length, known: entries.length - result.taken.length, wrong };
}

async function offer(tx, entries) {
  const taken = [];
  for (const entry of entries) {
    const held = await Promise.all(HELD.map((name) => ask(tx.objectStore(name).getKey(entry.entry_id))));
    if (held.some((key) => key !== undefined)) continue;
    await ask(tx.objectStore('outbox').put(entry));
    taken.push(entry);
  }
  return { taken, records: await refold(tx, taken.map((entry) => entry.record_id)) };
}

function readLines(text) {
  const entries = [];
  const wrong = [];
  text.split('\n').forEach((line, index) => {
    if (!line.trim()) return;
    try {
      const content = JSON.parse(line);
      if (content.evenpull) return;
      const fault = faultOf(content.entry);
      if (fault) wrong.push({ line: index + 1, text: fault });
      else entries.push(content.entry);
    } catch {
      wrong.push({ line: index + 1, text: 'is not JSON: the file was cut or changed here' });
    }
  });
  return { entries, wrong };
}

/** Only what this phone needs to carry an entry; whether its fields make sense is for the server to say. */
function faultOf(entry) {
  if (!entry || typeof entry !== 'object') return 'holds no entry';
  for (const name of ['entry_id', 'record_id', 'replica_id']) if (!isId(entry[name])) return `${name} is no id`;
  if (typeof entry.kind !== 'string') return 'kind is missing';
  if (!entry.fields || typeof entry.fields !== 'object') return 'fields are missing';
  if (!Number.isInteger(entry.n) || entry.n < 1) return 'n must be a whole number from 1';
  if (!utcIso(entry.made_at)) return 'made_at is no time';
  return null;
}
