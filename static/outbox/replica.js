/**
 * Who counts: one installation of the app, and how far it has counted. It is not who may sync (pairing says that):
 * a reinstall is a new replica, and so is a phone that was restored from another's backup.
 */
import { inOneTransaction } from './database.js';
import { uuid7 } from './ids.js';
import { metaIn, putMeta } from './meta.js';

/** @returns {Promise<{replica_id: string, n: number}>} */
export async function replicaIn(tx) {
  return (await metaIn(tx, 'replica')) ?? anotherReplica(tx);
}

/** A new name that starts counting from nothing. */
export async function anotherReplica(tx) {
  const replica = { replica_id: uuid7(), n: 0 };
  await putMeta(tx, 'replica', replica);
  return replica;
}

/** This replica's name, given once and kept. @returns {Promise<string>} */
export async function replicaId() {
  return (await inOneTransaction(['meta'], 'readwrite', replicaIn, 'strict')).replica_id;
}
