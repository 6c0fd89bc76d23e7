// The run, as the server's events tell of it, and the reader's own place.
import type { Playhead } from "./api";
import { calm } from "./dom";

type Watch = (run: Run) => void;

// silence is how long the stream may say nothing before it counts as lost: it
// speaks once a second even when nothing moves.
const silence = 3500; // ms

export class Run {
  head: Playhead = { at: 0, running: false, held: false, lightsUp: false, cue: "", clock: "" };
  lost = false;
  #arrived = 0; // when the last playhead came
  #spoken = 0; // when the stream last said anything
  readonly #moved: Watch[] = [];
  readonly #replaced: (() => void)[] = [];

  constructor(edition: number) {
    const source = new EventSource("/api/events");
    source.addEventListener("playhead", (e) => this.#take(JSON.parse((e as MessageEvent<string>).data) as Playhead));
    source.addEventListener("alive", () => { this.#spoken = performance.now(); });
    source.addEventListener("show", (e) => {
      const now = Number((e as MessageEvent<string>).data);
      if (now === edition) return;
      edition = now;
      for (const f of this.#replaced) f();
    });
    setInterval(() => this.#listen(), 500);
    this.#frame();
  }

  // now is where the run is at this instant: between two words from it, time goes on.
  get now(): number {
    const since = this.head.running && !this.head.held && !this.lost ? (performance.now() - this.#arrived) / 1000 : 0;
    return this.head.at + since;
  }

  watch(f: Watch): void {
    this.#moved.push(f);
  }

  replaced(f: () => void): void {
    this.#replaced.push(f);
  }

  #take(p: Playhead): void {
    this.head = p;
    this.#arrived = this.#spoken = performance.now();
    this.lost = false;
    this.#tell();
  }

  #listen(): void {
    const lost = this.#spoken > 0 && performance.now() - this.#spoken > silence;
    if (lost !== this.lost) {
      this.lost = lost;
      this.#tell();
    }
  }

  #tell(): void {
    for (const f of this.#moved) f(this);
  }

  // Between events the line moves with the screen, or by whole seconds for
  // readers who want less motion.
  #frame(): void {
    let last = -1;
    const step = (): void => {
      if (this.head.running && !this.head.held) {
        const shown = calm() ? Math.floor(this.now) : this.now;
        if (shown !== last) this.#tell();
        last = shown;
      }
      requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }
}

export async function order(name: string, query = ""): Promise<string> {
  const r = await fetch(`/api/control/${name}${query}`, { method: "POST" });
  return r.ok ? "" : (await r.text()).trim();
}
