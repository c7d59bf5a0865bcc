/** Identity without a secure context: plain http in the yard has no `crypto.randomUUID` and no `crypto.subtle`. */

/** A UUID of version 4. */
export function uuid(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = ((bytes[6] as number) & 0x0f) | 0x40;
  bytes[8] = ((bytes[8] as number) & 0x3f) | 0x80;
  const hex = toHex(bytes);
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

const toHex = (bytes: Uint8Array): string =>
  Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");

/** The first 32 bits of the fractional parts of a root of the first 64 primes: SHA-256's own constants. */
function fractions(count: number, root: number): Uint32Array {
  const found = new Uint32Array(count);
  for (let at = 0, number = 2; at < count; number++) {
    let prime = true;
    for (let by = 2; by * by <= number; by++) if (number % by === 0) prime = false;
    if (prime) found[at++] = ((number ** root) % 1) * 2 ** 32;
  }
  return found;
}

const turn = (word: number, by: number): number => (word >>> by) | (word << (32 - by));

/** SHA-256 (FIPS 180-4, from memory; held by its published test vectors) in small hexadecimal digits. */
export function sha256(data: Uint8Array): string {
  const rounds = fractions(64, 1 / 3);
  const hash = fractions(8, 1 / 2);
  const padded = new Uint8Array((((data.length + 8) >> 6) + 1) << 6);
  padded.set(data);
  padded[data.length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setUint32(padded.length - 8, Math.floor(data.length / 2 ** 29));
  view.setUint32(padded.length - 4, data.length << 3);
  const words = new Uint32Array(64);
  for (let from = 0; from < padded.length; from += 64) {
    for (let at = 0; at < 16; at++) words[at] = view.getUint32(from + 4 * at);
    mix(words, hash, rounds);
  }
  return Array.from(hash, (word) => word.toString(16).padStart(8, "0")).join("");
}

function mix(words: Uint32Array, hash: Uint32Array, rounds: Uint32Array): void {
  for (let at = 16; at < 64; at++) {
    const [early, late] = [words[at - 15] as number, words[at - 2] as number];
    const low = turn(early, 7) ^ turn(early, 18) ^ (early >>> 3);
    const high = turn(late, 17) ^ turn(late, 19) ^ (late >>> 10);
    words[at] = (words[at - 16] as number) + low + (words[at - 7] as number) + high;
  }
  let [a, b, c, d, e, f, g, h] = hash as unknown as [number, number, number, number, number, number, number, number];
  for (let at = 0; at < 64; at++) {
    const sum = turn(e, 6) ^ turn(e, 11) ^ turn(e, 25);
    const first = (h + sum + ((e & f) ^ (~e & g)) + (rounds[at] as number) + (words[at] as number)) | 0;
    const second = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + first) | 0, c, b, a, (first + second) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((word, at) => (hash[at] = (hash[at] as number) + word));
}
