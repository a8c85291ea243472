/**
 * One request and what became of it, in a few words that the rest can act on.
 *
 * @typedef {'delivered'|'no_network'|'pair_again'|'update_app'|'update_server'|'slow_down'|'too_big'|'malformed'|'trouble'} Outcome
 * @typedef {{outcome: Outcome, answer?: any, errors?: Object<string, string[]>, wait_ms?: number|null, timed_out?: boolean}} Reply
 */
import { retryAfterMs } from './backoff.js';

const TIMEOUT_MS = 60_000; // a full batch over a poor mobile link
const WORTH_PACKING_BYTES = 2_048;

/** @returns {Promise<Reply>} */
export const post = async (path, body) => send(path, { method: 'POST', ...(await packed(JSON.stringify(body))) });

/** @returns {Promise<Reply>} */
export const get = (path) => send(path, {});

async function send(path, init) {
  try {
    const signal = AbortSignal.timeout(TIMEOUT_MS);
    // A café's sign-in page answers for everybody: it redirects, or sends HTML with a 200.
    const response = await fetch(path, { ...init, signal, cache: 'no-store', redirect: 'error' });
    const content = await jsonOf(response);
    return judge(response, content);
  } catch (error) {
    return { outcome: 'no_network', timed_out: error?.name === 'TimeoutError' };
  }
}

/** The body where it is JSON; null for a page in HTML. A JSON body that was cut short throws. */
async function jsonOf(response) {
  const type = response.headers.get('Content-Type') ?? '';
  return /[/+]json\b/.test(type) ? response.json() : null;
}

function judge(response, content) {
  const wait_ms = retryAfterMs(response.headers.get('Retry-After'));
  const errors = content?.errors ?? {};
  if (response.ok) return content ? { outcome: 'delivered', answer: content } : { outcome: 'no_network' };
  if (response.status === 413) return { outcome: 'too_big', errors };
  if (response.status === 429 || (response.status === 503 && wait_ms !== null)) return { outcome: 'slow_down', wait_ms };
  if (response.status >= 500 || !content) return { outcome: 'no_network' };
  if (response.status === 401 || response.status === 403) return { outcome: 'pair_again', errors };
  if (response.status === 409) return { outcome: content.update === 'server' ? 'update_server' : 'update_app', errors };
  if (response.status === 422) return { outcome: 'malformed', errors };
  return { outcome: 'trouble', errors };
}

async function packed(text) {
  const headers = { 'Content-Type': 'application/json' };
  if (text.length < WORTH_PACKING_BYTES || !globalThis.CompressionStream) return { headers, body: text };
  const stream = new Blob([text]).stream().pipeThrough(new CompressionStream('gzip'));
  const body = await new Response(stream).arrayBuffer();
  return { headers: { ...headers, 'Content-Encoding': 'gzip' }, body };
}
