// SHA-256 (FIPS 180-4) and HMAC (RFC 2104): browsers have them on pages that came by TLS or from
// this machine alone, and a phone's come by plain http.

// The constants of FIPS 180-4, 4.2.2 and 5.3.3: the first 32 bits of the fractional parts of the
// cube roots of the first 64 primes, and of the square roots of the first eight.
const primes = ((): number[] => {
  const found: number[] = [];
  for (let n = 2; found.length < 64; n++) if (found.every((p) => n % p)) found.push(n);
  return found;
})();
const fraction = (v: number): number => Math.floor((v - Math.floor(v)) * 2 ** 32) | 0;
const k = primes.map((p) => fraction(Math.cbrt(p)));
const start = primes.slice(0, 8).map((p) => fraction(Math.sqrt(p)));

const turn = (x: number, n: number): number => (x >>> n) | (x << (32 - n));

export function sha256(message: Uint8Array): Uint8Array {
  const padded = new Uint8Array(Math.ceil((message.length + 9) / 64) * 64), view = new DataView(padded.buffer);
  padded.set(message);
  padded[message.length] = 0x80;
  view.setUint32(padded.length - 8, Math.floor(message.length / 2 ** 29));
  view.setUint32(padded.length - 4, message.length << 3);
  const state = Int32Array.from(start), w = new Int32Array(64);
  for (let block = 0; block < padded.length; block += 64) {
    for (let i = 0; i < 64; i++) {
      if (i < 16) {
        w[i] = view.getInt32(block + 4 * i);
        continue;
      }
      const a = w[i - 15]!, b = w[i - 2]!;
      w[i] = w[i - 16]! + (turn(a, 7) ^ turn(a, 18) ^ (a >>> 3)) + w[i - 7]! + (turn(b, 17) ^ turn(b, 19) ^ (b >>> 10));
    }
    let [a, b, c, d, e, f, g, h] = state as unknown as [number, number, number, number, number, number, number, number];
    for (let i = 0; i < 64; i++) {
      const t1 = (h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + k[i]! + w[i]!) | 0;
      const t2 = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
      [h, g, f, e, d, c, b, a] = [g, f, e, (d + t1) | 0, c, b, a, (t1 + t2) | 0];
    }
    [a, b, c, d, e, f, g, h].forEach((v, i) => { state[i] = state[i]! + v; });
  }
  const out = new Uint8Array(32), to = new DataView(out.buffer);
  state.forEach((v, i) => to.setInt32(4 * i, v));
  return out;
}

export function hmac(key: Uint8Array, message: Uint8Array): Uint8Array {
  const short = key.length > 64 ? sha256(key) : key;
  const padded = (with_: number, then: Uint8Array): Uint8Array => {
    const all = new Uint8Array(64 + then.length).fill(with_, 0, 64);
    short.forEach((v, i) => { all[i] = v ^ with_; });
    all.set(then, 64);
    return sha256(all);
  };
  return padded(0x5c, padded(0x36, message));
}

export const octets = (text: string): Uint8Array => new TextEncoder().encode(text);

export const base64 = (b: Uint8Array): string => btoa(String.fromCharCode(...b));
