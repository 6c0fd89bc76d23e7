// What the server answers, fetched and unpacked.
import type { Contents, Room } from "./api";
import { send, Unanswered } from "./key";
import { tried, type Change } from "./write";

async function ask(path: string): Promise<Response> {
  const r = await send(path);
  if (!r.ok) throw new Unanswered(path, r.status, (await r.text()).trim());
  return r;
}

// answer is what the server says to a question, as it is in JSON.
export async function answer<T>(path: string): Promise<T> {
  return (await (await ask(path)).json()) as T;
}

export const contents = (): Promise<Contents> => answer<Contents>("/api/show");

// post gives an order and answers what is said to it, "" for nothing. It throws where the order
// does not arrive.
export async function post(path: string, body?: unknown): Promise<string> {
  const r = await send(path, { method: "POST", ...(body !== undefined && { body: JSON.stringify(body) }), signal: AbortSignal.timeout(5000) });
  return r.ok ? "" : (await r.text()).trim();
}

// plate answers a drawing.
export async function plate(path: string): Promise<string> {
  return (await ask(path)).text();
}

// fill has an image show a drawing, which it cannot ask for by itself: it would not be signed. In
// its place stands meanwhile what is on its way, and what went wrong.
export async function fill(e: HTMLImageElement, path: string, what: string): Promise<void> {
  e.dataset["path"] = path;
  const words = e.previousElementSibling?.matches(".waits") ? e.previousElementSibling as HTMLElement : document.createElement("p");
  words.className = "waits";
  words.textContent = `${what} is being worked out.`;
  e.before(words);
  try {
    const text = await plate(path);
    if (e.dataset["path"] !== path) return; // another is asked for meanwhile
    URL.revokeObjectURL(e.src);
    e.src = URL.createObjectURL(new Blob([text], { type: "image/svg+xml" }));
    words.remove();
  } catch {
    if (e.dataset["path"] === path) words.textContent = `${what} did not arrive: is the program still there?`;
  }
}

// save has the browser keep a file that the program makes: a link by itself would not be signed.
export async function save(path: string, name: string): Promise<void> {
  const at = URL.createObjectURL(await (await ask(path)).blob());
  const a = document.createElement("a");
  a.href = at;
  a.download = name;
  a.click();
  setTimeout(() => URL.revokeObjectURL(at), 60_000);
}

// plot answers the lighting plan, drawn.
export const plot = (): Promise<string> => plate("/plate/plot");

// bytes unpacks the base64 in which JSON carries bytes.
export const bytes = (text: string): Uint8Array => Uint8Array.from(atob(text), (c) => c.charCodeAt(0));

// Light keeps the ribbons of the pieces of the show that were asked for.
export class Light {
  // step is how far apart the steps are, s: some to each line of a page of that scale, px a second.
  readonly step: number;
  readonly #pieces = new Map<string, Promise<Uint8Array>>();

  constructor(scale: number) {
    this.step = scale > 20 ? 0.01 : scale > 5 ? 0.05 : scale > 1 ? 0.25 : 1;
  }

  // piece answers four bytes for each step and ribbon: red, green, blue, level.
  piece(from: number, to: number): Promise<Uint8Array> {
    const key = `from=${from}&to=${to}&step=${this.step}`;
    let p = this.#pieces.get(key);
    if (!p) {
      p = ask("/api/light?" + key).then(async (r) => new Uint8Array(await r.arrayBuffer()));
      p.catch(() => this.#pieces.delete(key));
      this.#pieces.set(key, p);
    }
    return p;
  }
}

let shapeOf: Promise<Room> | undefined;

// shape answers the room's shape, which is what reads its light goes by; it is asked for once.
export function shape(anew = false): Promise<Room> {
  if (anew) shapeOf = undefined;
  shapeOf ??= answer<Room>("/api/shape");
  shapeOf.catch(() => { shapeOf = undefined; });
  return shapeOf;
}

// Drawn is a picture of the room: four bytes for each pixel, a key to ask with again, and its white in words.
// Early is that some of its light is not worked out yet.
export type Drawn = { width: number; pixels: Uint8ClampedArray; key: string; says: string; early: boolean };

// NotDrawn is that what changes come to cannot be shown, and why.
export class NotDrawn extends Error {
  constructor(text: string) {
    super(text);
    this.name = "NotDrawn";
  }
}

// pictureOf answers a picture; undefined when it is the one whose key is given. With changes it is
// of what they would come to.
export async function pictureOf(query: string, width: number, was: string, changes?: readonly Change[]): Promise<Drawn | undefined> {
  const of = `${query}&width=${width}&height=${(width * 9) / 16}&was=${was}`;
  const r = await (changes ? tried(of, changes).catch((e: unknown) => { throw new NotDrawn(e instanceof Error ? e.message : String(e)); }) : ask("/api/picture?" + of));
  if (r.status === 204) return undefined;
  return { width, pixels: new Uint8ClampedArray(await r.arrayBuffer()), key: r.headers.get("Picture-Key") ?? "", says: decodeURIComponent(r.headers.get("Picture-Says") ?? ""), early: r.headers.has("Picture-Provisional") };
}

// Newest runs one request at a time and, of those asked for meanwhile, only the last.
export class Newest<T> {
  #busy = false;
  #next: (() => Promise<T>) | undefined;
  constructor(private readonly done: (v: T) => void, private readonly failed: (e: unknown) => void) {}

  ask(work: () => Promise<T>): void {
    this.#next = work;
    if (!this.#busy) void this.#run();
  }

  async #run(): Promise<void> {
    this.#busy = true;
    for (let work = this.#next; work; work = this.#next) {
      this.#next = undefined;
      try {
        this.done(await work());
      } catch (e) {
        this.failed(e);
      }
    }
    this.#busy = false;
  }
}
