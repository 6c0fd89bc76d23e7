// Whatever a page asks is signed with the key of this browser, which the network never sees: the
// form is that of HTTP Message Signatures (RFC 9421), and stands in the program's package admit.
import type { Entered } from "./api";
import { base64, hmac, octets, sha256 } from "./sign";

export class Unanswered extends Error {
  constructor(path: string, readonly status: number, readonly text: string) {
    super(`${path}: ${status} ${text}`.trim());
    this.name = "Unanswered";
  }
}

type Key = { id: string; key: Uint8Array };

// The key stays in the browser, for the address that the page came from.
const place = "lampblack key";

let known: Key | undefined;

function kept(): Key | undefined {
  const text = localStorage.getItem(place);
  if (!text) return undefined;
  const [id, key] = text.split(" ");
  return id && key ? { id, key: Uint8Array.from(atob(key), (c) => c.charCodeAt(0)) } : undefined;
}

function keep(k: Key): void {
  known = k;
  localStorage.setItem(place, `${k.id} ${base64(k.key)}`);
}

// run names the run that answers, and ahead is by how many seconds its clock is before ours.
let run = document.documentElement.dataset["epoch"] ?? "";
let ahead = Number(document.documentElement.dataset["time"]) - Date.now() / 1000;

const nonce = (): string => base64(crypto.getRandomValues(new Uint8Array(18))).replaceAll("+", "-").replaceAll("/", "_");

// digestOf is the sum of a body; of a piece of a file the browser's own code makes it, where the page may use that.
async function digestOf(body: string | Blob): Promise<string> {
  if (typeof body === "string") return base64(sha256(octets(body)));
  const data = new Uint8Array(await body.arrayBuffer());
  return base64(crypto.subtle ? new Uint8Array(await crypto.subtle.digest("SHA-256", data)) : sha256(data));
}

function signed(k: Key, method: string, path: string, sum: string, once: string): Record<string, string> {
  const to = new URL(path, location.href), digest = `sha-256=:${sum}:`;
  const params = `("@method" "@authority" "@path" "@query" "content-digest");created=${Math.round(Date.now() / 1000 + ahead)};nonce="${once}";keyid="${k.id}";tag="${run}"`;
  const base = [["@method", method], ["@authority", to.host], ["@path", to.pathname], ["@query", to.search || "?"], ["content-digest", digest], ["@signature-params", params]]
    .map(([name, value]) => `"${name}": ${value}`).join("\n");
  return { "Content-Digest": digest, "Signature-Input": `sig=${params}`, "Signature": `sig=:${base64(hmac(k.key, octets(base)))}:` };
}

type Asked = { method?: string; body?: string | Blob; signal?: AbortSignal; keepalive?: boolean };

// send asks the program. When it was started again meanwhile, or the clocks have parted, it says
// so, and is asked once more.
export async function send(path: string, o: Asked = {}, k = known, number = nonce): Promise<Response> {
  const method = o.method ?? "GET", sum = await digestOf(o.body ?? "");
  const ask = (once = number()): Promise<Response> => fetch(path, { ...o, cache: "no-store", headers: k ? signed(k, method, path, sum, once) : {} });
  const r = await ask();
  const wanted = /tag="([a-z0-9]+)"/.exec(r.headers.get("Accept-Signature") ?? "")?.[1];
  const off = Date.parse(r.headers.get("Date") ?? "") / 1000 - Date.now() / 1000;
  if (r.status !== 401 || !k || !wanted || wanted === run && !(Math.abs(off - ahead) > 5)) return r;
  run = wanted;
  if (off) ahead = off;
  return ask();
}

// pair makes a key for this browser of the code of a link, and of a nonce of its own.
async function pair(code: string): Promise<void> {
  const secret = octets(code);
  let once = "";
  const r = await patiently(() => send("/api/pair", { method: "POST" }, { id: "code", key: secret }, () => (once = nonce())));
  if (!r.ok) throw new Unanswered("/api/pair", r.status, (await r.text()).trim());
  const e = (await r.json()) as Entered;
  keep({ id: e.id, key: hmac(secret, octets(`lampblack device key\n${once}`)) });
}

// patiently asks again while nobody is there: the program may be on its way back.
async function patiently(ask: () => Promise<Response>): Promise<Response> {
  for (let left = 10; ; left--) {
    try {
      return await ask();
    } catch (e) {
      if (left === 0) throw e;
      await new Promise((done) => setTimeout(done, again / 2));
    }
  }
}

// enter takes the key or the code out of the link by which the page was opened, and out of the
// address bar: a screen is soon photographed.
export async function enter(): Promise<void> {
  known = kept();
  const [, what, text] = /^#(key|pair)=([A-Za-z0-9_-]{16,})$/.exec(location.hash) ?? [];
  if (!what || !text) return;
  history.replaceState(null, "", location.pathname + location.search);
  if (what === "key") keep({ id: "own", key: octets(text) });
  else await pair(text).catch((e: unknown) => { if (!known) throw e; }); // a link that was opened again
}

// Told is what a stream says: the name of an event, and its text.
export type Told = (event: string, data: string) => void;

// again is how long it takes until a stream that ended is asked for again.
const again = 1000; // ms

// follow hears the server's events (HTML, 9.2), signed as a browser's own reader of them cannot be.
// It asks again for ever: the program may be started again.
export async function follow(path: string, told: Told): Promise<never> {
  for (;;) {
    try {
      const r = await send(path);
      if (r.ok && r.body) await hear(r.body, told);
      else told("refused", r.status === 401 || r.status === 403 ? (await r.text()).trim() : "");
    } catch {
      // The program went away, or the network did.
    }
    await new Promise((done) => setTimeout(done, again));
  }
}

async function hear(body: ReadableStream<Uint8Array>, told: Told): Promise<void> {
  const reader = body.getReader(), text = new TextDecoder();
  let rest = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) return;
    rest += text.decode(value, { stream: true });
    const parts = rest.split("\n\n");
    rest = parts.pop() ?? "";
    for (const p of parts) {
      const line = (name: string): string => p.split("\n").find((l) => l.startsWith(name + ":"))?.slice(name.length + 1).trim() ?? "";
      told(line("event"), line("data"));
    }
  }
}
