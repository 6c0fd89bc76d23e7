// The lamps of a run as pages have them: what a hand holds, and the orders for it.
import type { Held, Lamps, Order } from "./api";
import { sentence } from "./clock";
import { answer, Newest, post } from "./data";
import type { Run } from "./run";

const none: Lamps = { holds: "", wrong: "", look: "", held: [], trims: [], outs: [], covers: "", focus: { does: "", unit: "" }, undo: "", lamps: [], looks: [], systems: [], aimed: [] };

// often is how often pages ask how the lamps shine while somebody looks at them.
const often = 400; // ms

export class Hands {
  lamps = none;
  said = ""; // what the last order was answered
  lost = ""; // why the lamps are not known
  readonly #seen: (() => void)[] = [];
  readonly #asked = new Newest<Lamps>((l) => { this.lamps = l; this.lost = ""; this.#tell(); }, () => { this.lost = "No word from the program: does it run, and is the phone in its network?"; this.#tell(); });
  readonly #waiting = new Map<string, () => Promise<void>>();
  #busy = false;
  #count = 0;

  // looked tells whether somebody looks at how the lamps shine; what a hand does is told anyhow.
  constructor(run: Run, looked: () => boolean = () => true) {
    let count = -1;
    run.watch(() => {
      if (run.head.hands === count) return;
      count = run.head.hands;
      this.ask();
    });
    setInterval(() => { if (!document.hidden && looked()) this.ask(); }, often);
    this.ask();
  }

  ask(): void {
    this.#asked.ask(() => answer<Lamps>("/api/lamps"));
  }

  watch(f: () => void): void {
    this.#seen.push(f);
    f();
  }

  // follow is for a finger that moves: of what it asks of the same lamps, the newest counts.
  follow(o: Order): void {
    void this.#give("/api/hand", o, JSON.stringify([o.do, o.system, o.units, o.dark]));
  }

  order(o: Order): Promise<string> {
    return this.#give("/api/hand", o);
  }

  keep(look: string, held: readonly Held[] = []): Promise<string> {
    return this.#give("/api/keep", held.length ? { look, held } : { look });
  }

  write(): Promise<string> {
    return this.#give("/api/write");
  }

  undo(): Promise<string> {
    return this.#give("/api/undo");
  }

  aimed(unit: string, done: boolean, note: string): Promise<string> {
    return this.#give("/api/aimed", { unit, done, note });
  }

  // give lets orders go out one after another, as they were given: side by side, a slider and a
  // let go could reach the lamps the other way round.
  #give(path: string, body?: unknown, key = String(this.#count++)): Promise<string> {
    return new Promise((done) => {
      this.#waiting.delete(key);
      this.#waiting.set(key, async () => {
        this.said = sentence(await post(path, body).catch(() => "the order did not arrive: is the program still there, and the phone in its network?"));
        this.#tell();
        this.ask();
        done(this.said);
      });
      if (!this.#busy) void this.#send();
    });
  }

  async #send(): Promise<void> {
    this.#busy = true;
    for (const [key, send] of this.#waiting) {
      this.#waiting.delete(key);
      await send();
    }
    this.#busy = false;
  }

  #tell(): void {
    for (const f of this.#seen) f();
  }
}
