/**
 * Tells whoever shows something that what is on this phone has changed, in this tab and in others.
 *
 * Events: 'saved' {entries, records}, 'taken' {record_ids}, 'refused' {entry_ids}, 'cleared' {}.
 */
import { databaseName } from './database.js';

export const changes = new EventTarget();

/** @type {Map<string, BroadcastChannel>} */
const channels = new Map();

/** Say it here and in the other tabs. */
export function announce(type, detail = {}) {
  changes.dispatchEvent(new CustomEvent(type, { detail }));
  channel()?.postMessage({ type, detail });
}

/** Hear the other tabs. */
export function listenToOtherTabs() {
  channel();
}

function channel() {
  if (!globalThis.BroadcastChannel) return null;
  const name = `${databaseName()}-changes`;
  if (!channels.has(name)) {
    const opened = new BroadcastChannel(name);
    opened.onmessage = ({ data }) => changes.dispatchEvent(new CustomEvent(data.type, { detail: data.detail }));
    channels.set(name, opened);
  }
  return channels.get(name);
}
