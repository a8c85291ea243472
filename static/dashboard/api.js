/** The manager's requests. Whatever the server says is an answer; no answer at all is one as well. */

const LONGEST_MS = 20_000;

/**
 * @param {string} method
 * @param {string} path
 * @param {object} [body] sent as JSON
 * @param {Object<string, string>} [headers]
 * @returns {Promise<{status: number, body: any, etag: string|null}>} status 0 where nobody answered
 */
export async function ask(method, path, body, headers = {}) {
  const sent = body === undefined ? {} : { body: JSON.stringify(body) };
  if (body !== undefined) headers = { ...headers, 'Content-Type': 'application/json' };
  try {
    const answer = await fetch(path, { method, headers, ...sent, cache: 'no-store', signal: AbortSignal.timeout(LONGEST_MS) });
    const text = await answer.text();
    return { status: answer.status, body: text && JSON.parse(text), etag: answer.headers.get('ETag') };
  } catch {
    // No network, no server, or something on the way that answers in its place: the same to whoever waits.
    return { status: 0, body: null, etag: null };
  }
}

/** What a refused request says, in one line: each field's remedy, else the whole. */
export function remedy(answer) {
  const fields = Object.values(answer.body?.errors ?? {}).flat();
  return fields.length > 0 ? fields.join(' ') : answer.body?.detail ?? '';
}
