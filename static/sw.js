/**
 * Keeps the app's files on the phone, so that it starts with no answer from the network.
 *
 * The server puts one line before this one: `const SHELL = {version, files}`, where `version` is the hash of all of
 * the files. Each version has one cache, filled all or nothing, and a page is answered from one version only.
 */
const CACHE = `evenpull-${SHELL.version}`;

self.addEventListener('install', (event) => {
  // The way out, should a version ever lock people in: the server sends `retire`, and this worker clears the way.
  event.waitUntil(SHELL.retire ? self.skipWaiting() : fill());
});

self.addEventListener('activate', (event) => event.waitUntil(SHELL.retire ? retire() : dropOthers()));

self.addEventListener('message', (event) => {
  if (event.data === 'apply') event.waitUntil(apply(event.ports[0]));
});

self.addEventListener('fetch', (event) => {
  const name = nameInCache(event.request);
  if (name) event.respondWith(fromCache(name, event.request));
});

async function fill() {
  const cache = await caches.open(CACHE);
  await cache.addAll(SHELL.files.map((path) => new Request(path, { cache: 'reload' })));
  // A server that was replaced meanwhile has given some files of each version: better none than both.
  const now = await (await fetch('/sw.js', { cache: 'no-store' })).text();
  if (!now.includes(SHELL.version)) {
    await caches.delete(CACHE);
    throw new Error('the app changed while it was being fetched');
  }
}

/** The old files go only now: until this worker took over, their pages were open. */
async function dropOthers() {
  const others = (await ours()).filter((name) => name !== CACHE);
  await Promise.all(others.map((name) => caches.delete(name)));
  // A phone's very first visit: its page may open any screen from now on, network or not.
  if (!others.length) await self.clients.claim();
}

async function retire() {
  await Promise.all((await ours()).map((name) => caches.delete(name)));
  await self.registration.unregister();
}

const ours = async () => (await caches.keys()).filter((name) => name.startsWith('evenpull-'));

/** Take over only where one page asks and no other is open, for that one would be an old page with new files. */
async function apply(port) {
  const pages = await self.clients.matchAll({ type: 'window', includeUncontrolled: true });
  const apps = pages.filter((page) => new URL(page.url).pathname === '/');
  port?.postMessage(apps.length > 1 ? 'other_tabs_open' : 'reloading');
  if (apps.length <= 1) await self.skipWaiting();
}

/** Under what name the shell holds what is asked for; null where it is the network's business: /api, /manage, /start. */
function nameInCache(request) {
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== self.location.origin) return null;
  return SHELL.files.includes(url.pathname) ? url.pathname : null;
}

async function fromCache(name, request) {
  const held = await (await caches.open(CACHE)).match(name);
  // The browser may have thrown the cache away; then the network is all there is.
  return held ?? fetch(request);
}
