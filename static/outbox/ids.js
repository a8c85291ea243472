/**
 * An identifier that sorts by the time it was made: UUID version 7, RFC 9562 section 5.7.
 *
 * It identifies and nothing else: a phone's clock may be wrong, so order comes from `n` and the server.
 *
 * @param {number} [unixMs] [ms since 1970]
 * @param {Uint8Array} [random] ten bytes; the first gives 4 bits, the third 6: 74 bits in all
 */
export function uuid7(unixMs = Date.now(), random = crypto.getRandomValues(new Uint8Array(10))) {
  const bytes = new Uint8Array(16);
  for (let place = 0; place < 6; place += 1) bytes[place] = Math.floor(unixMs / 256 ** (5 - place)) % 256;
  bytes.set(random, 6);
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}

/** @param {unknown} text */
export const isId = (text) =>
  typeof text === 'string' && /^[0-9a-f]{8}-[0-9a-f]{4}-[78][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/.test(text);
