/**
 * Lets the manager's page open with no network, to show the last picture. The network comes first: at a desk it is
 * usually there, and then nothing old is ever shown.
 */
const CACHE = 'desk';
const PATIENCE_MS = 4_000;

self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));

self.addEventListener('fetch', (event) => {
  if (event.request.method === 'GET' && isPage(event.request.url)) event.respondWith(networkFirst(event.request));
});

self.addEventListener('message', (event) => event.waitUntil(keep(event.data)));

/** A file of the page, as opposed to what the server answers to. */
function isPage(address) {
  const url = new URL(address, self.location.href);
  return url.origin === self.location.origin && !url.pathname.startsWith('/api/');
}

async function keep(addresses) {
  const cache = await caches.open(CACHE);
  await cache.addAll([...new Set(addresses.filter(isPage))]);
}

async function networkFirst(request) {
  const cache = await caches.open(CACHE);
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
    if (answer.ok) await cache.put(request, answer.clone());
    return answer;
  } catch (gone) {
    const held = await cache.match(request, { ignoreSearch: true });
    if (held) return held;
    throw gone;
  }
}
