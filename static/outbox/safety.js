/** How safe this phone's storage is, in facts that the screen can put into words. */

const NEARLY_FULL_SHARE = 0.8;
const NEARLY_FULL_BYTES = 20_000_000; // a busy month of entries, with room for the mirror

/** @returns {Promise<{persisted: boolean, usage: number|null, quota: number|null, nearlyFull: boolean, standalone: boolean}>} */
export async function storageState() {
  const { usage = null, quota = null } = (await navigator.storage?.estimate?.()) ?? {};
  const known = usage !== null && quota !== null;
  return {
    persisted: (await navigator.storage?.persisted?.()) ?? false,
    usage,
    quota,
    nearlyFull: known && (usage > quota * NEARLY_FULL_SHARE || quota - usage < NEARLY_FULL_BYTES),
    standalone: matchMedia('(display-mode: standalone)').matches || navigator.standalone === true,
  };
}

/** Ask that the browser never evicts this app's data; it may say no. @returns {Promise<boolean>} */
export async function askToPersist() {
  return (await navigator.storage?.persist?.()) ?? false;
}
