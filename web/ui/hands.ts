// The lamps of a run as pages have them: what a hand holds, and the orders for it.
import type { Held, Lamps, Order } from "./api";
import { Newest } from "./data";
import type { Run } from "./run";

const none: Lamps = { holds: "", wrong: "", look: "", held: [], trims: [], outs: [], covers: "", focus: { does: "", unit: "" }, undo: "", lamps: [], looks: [], systems: [], aimed: [] };

// often is how often pages ask how the lamps shine while somebody looks at them.
const often = 400; // ms

async function post(path: string, body?: unknown): Promise<string> {
  try {
    const r = await fetch(path, { method: "POST", body: body === undefined ? null : JSON.stringify(body), signal: AbortSignal.timeout(5000) });
    return r.ok ? "" : sentence((await r.text()).trim());
  } catch {
    return "The order did not arrive: is the program still there, and the phone in its network?";
  }
}

// sentence begins words as a sentence does, and ends them.
export const sentence = (words: string): string => words && words.charAt(0).toUpperCase() + words.slice(1).replace(/\.?$/, ".");

export class Hands {
  lamps = none;
  said = ""; // what the last order was answered
  lost = ""; // why the lamps are not known
  readonly #seen: (() => void)[] = [];
  readonly #asked = new Newest<Lamps>((l) => { this.lamps = l; this.lost = ""; this.#tell(); }, (e) => { this.lost = String(e); this.#tell(); });
  // Orders go out one after another; of those of one kind that wait, the last.
  readonly #sent = new Newest<string>((said) => { this.said = said; this.ask(); }, () => {});

  constructor(run: Run) {
    let count = -1;
    run.watch(() => {
      if (run.head.hands === count) return;
      count = run.head.hands;
      this.ask();
    });
    setInterval(() => { if (!document.hidden) this.ask(); }, often);
    this.ask();
  }

  ask(): void {
    this.#asked.ask(async () => {
      const r = await fetch("/api/lamps", { cache: "no-store", signal: AbortSignal.timeout(5000) });
      if (!r.ok) throw new Error((await r.text()).trim());
      return (await r.json()) as Lamps;
    });
  }

  watch(f: () => void): void {
    this.#seen.push(f);
    f();
  }

  // follow is for a finger that moves: of what it asks for, the newest counts.
  follow(o: Order): void {
    this.#sent.ask(() => post("/api/hand", o));
  }

  async order(o: Order): Promise<string> {
    return this.#answer(post("/api/hand", o));
  }

  async keep(look: string, held: readonly Held[] = []): Promise<string> {
    return this.#answer(post("/api/keep", held.length ? { look, held } : { look }));
  }

  async write(): Promise<string> {
    return this.#answer(post("/api/write"));
  }

  async undo(): Promise<string> {
    return this.#answer(post("/api/undo"));
  }

  async aimed(unit: string, done: boolean, note: string): Promise<string> {
    return this.#answer(post("/api/aimed", { unit, done, note }));
  }

  async #answer(p: Promise<string>): Promise<string> {
    this.said = await p;
    this.#tell();
    this.ask();
    return this.said;
  }

  #tell(): void {
    for (const f of this.#seen) f();
  }
}
