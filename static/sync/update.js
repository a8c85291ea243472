/**
 * The app's own files: a new version is fetched beside the old one and waits. Nothing takes over unasked, for an old
 * page must never meet new files. Event: 'ready', when an update waits.
 */
export const updates = new EventTarget();

/** @type {ServiceWorkerRegistration|null} */
let registration = null;

/** Keep the app's files on this phone. Answers null where the browser has no workers or the page isn't secure. */
export async function registerWorker() {
  if (!navigator.serviceWorker) return null;
  let controlled = Boolean(navigator.serviceWorker.controller);
  navigator.serviceWorker.addEventListener('controllerchange', () => {
    if (controlled) location.reload(); // a new version took over: this page is now the old one
    controlled = true; // else the first visit has just got its first worker
  });
  registration = await navigator.serviceWorker.register('/sw.js', { updateViaCache: 'none' });
  if (registration.waiting) tellReady();
  registration.addEventListener('updatefound', () => watch(registration.installing));
  watch(registration.installing);
  // An app on the home screen is seldom loaded anew, so the browser would seldom look by itself.
  document.addEventListener('visibilitychange', () => document.visibilityState === 'visible' && lookForUpdate());
  return registration;
}

/** Ask the server whether there is a newer version; offline, that is no news. */
export async function lookForUpdate() {
  try {
    await registration?.update();
  } catch {
    // No answer: the app at hand goes on working, and the next start asks again.
  }
}

/**
 * Let the waiting version take over and reload this page.
 * @returns {Promise<'reloading'|'nothing_waits'|'other_tabs_open'>}
 */
export async function applyUpdate() {
  const waiting = registration?.waiting;
  if (!waiting) return 'nothing_waits';
  const answer = new MessageChannel();
  const said = new Promise((resolve) => {
    answer.port1.onmessage = ({ data }) => resolve(data);
  });
  waiting.postMessage('apply', [answer.port2]);
  return said;
}

function watch(worker) {
  worker?.addEventListener('statechange', () => {
    if (worker.state === 'installed' && navigator.serviceWorker.controller) tellReady();
  });
}

const tellReady = () => updates.dispatchEvent(new Event('ready'));
