// The run, as the server's events tell of it, and the reader's own place.
import type { Playhead } from "./api";
import { post } from "./data";
import { calm } from "./dom";
import { follow } from "./key";

type Watch = (run: Run) => void;

// silence is how long the stream may say nothing before it counts as lost: it
// speaks once a second even when nothing moves.
const silence = 3500; // ms

// A word about the run, whole each time, so that a page that has just opened
// knows everything from the first it hears.
type Word = { head: Playhead; edition: string; refused: string };

const nothing: Playhead = { at: 0, running: false, idle: false, held: false, lightsUp: false, cue: "", clock: "", state: "", speed: 0, fault: "", hint: "", stage: { now: "", nowWhy: "", next: "", nextWhy: "", count: -1, standby: "", notice: "", away: false, zones: [], triggers: [] }, look: "", hand: "", hands: 0, hearing: { frozen: false, violet: false, skips: false, skipsTo: 0, notice: "", lowered: 0, tests: false, device: false, live: "", stops: 3, zones: [], extras: [], speakers: [] }, alarm: { stands: false, text: "", hint: "", notice: "" }, doors: "", wrong: [], edit: { text: "", offered: false, back: false } };

// listen passes on what the server says. A browser gives one server only six
// connections, so of all open pages one holds the stream and tells the others;
// when it closes, another takes over.
function listen(hear: (w: Word) => void): void {
  // A phone comes by an address without a certificate, where browsers have no locks.
  if (!("locks" in navigator)) {
    stream(hear);
    return;
  }
  const air = new BroadcastChannel("run");
  air.onmessage = (e: MessageEvent<Word>) => hear(e.data);
  void navigator.locks.request("run", () => new Promise<never>(() => {
    stream((w) => {
      hear({ ...w });
      air.postMessage(w);
    });
  }));
}

// stream hears the server itself.
function stream(hear: (w: Word) => void): void {
  const word: Word = { head: nothing, edition: "", refused: "" };
  void follow("/api/events", (event, data) => {
    switch (event) {
      case "show": word.edition = data; return;
      case "playhead": word.head = JSON.parse(data) as Playhead; break;
      case "refused": word.refused = data;
    }
    if (event !== "refused") word.refused = "";
    hear(word);
  });
}

export class Run {
  head = nothing;
  lost = false;
  refused = ""; // why this browser is told nothing any more
  #word = "";
  #told = "";
  #arrived = 0; // when the last new playhead came
  #spoken = 0; // when the stream last said anything
  readonly #moved: Watch[] = [];
  readonly #replaced: (() => void)[] = [];

  constructor(public edition: string) {
    listen((w) => this.#hear(w));
    setInterval(() => this.#miss(), 500);
  }

  // now is where the run is at this instant: between two words from it, time goes
  // on as fast as its clock does.
  get now(): number {
    return this.head.at + (this.moves ? (performance.now() - this.#arrived) / 1000 * this.head.speed : 0);
  }

  // here tells whether what runs is the book's own piece, so that its place is one of the book.
  get here(): boolean {
    return this.head.running && !this.head.stage.away;
  }

  get moves(): boolean {
    return this.head.running && this.head.speed > 0 && !this.lost;
  }

  watch(f: Watch): void {
    this.#moved.push(f);
  }

  replaced(f: () => void): void {
    this.#replaced.push(f);
  }

  #hear(w: Word): void {
    if (w.refused !== this.refused) {
      this.refused = w.refused;
      this.#tell();
    }
    if (w.refused) return; // it says nothing of the run
    this.#spoken = performance.now();
    if (w.edition && w.edition !== this.edition && w.edition !== this.#told) {
      this.#told = w.edition; // once for each
      for (const f of this.#replaced) f();
    }
    const word = JSON.stringify(w.head);
    if (word === this.#word && !this.lost) return;
    this.#word = word;
    this.head = w.head;
    this.#arrived = performance.now();
    this.lost = false;
    this.#tell();
    this.#frame();
  }

  #miss(): void {
    const lost = this.#spoken > 0 && performance.now() - this.#spoken > silence;
    if (lost === this.lost) return;
    this.lost = lost;
    this.#tell();
  }

  #tell(): void {
    for (const f of this.#moved) f(this);
  }

  #drawn = -1; // the time that was told last
  #frames = false;

  // Between events the line moves with the screen, or by whole seconds for
  // readers who want less motion. While nothing moves, no frame is asked for.
  #frame(): void {
    if (this.#frames || !this.moves) return;
    this.#frames = true;
    requestAnimationFrame(() => {
      this.#frames = false;
      if (!this.moves) return;
      const shown = calm() ? Math.floor(this.now) : this.now;
      if (shown !== this.#drawn) this.#tell();
      this.#drawn = shown;
      this.#frame();
    });
  }
}

export function order(name: string, query = ""): Promise<string> {
  const turn = name === "lights-up" ? Promise.race([last, soon()]) : last;
  const said = turn.then(() => post(`/api/control/${name}${query}`));
  last = said.then(() => {}, () => {});
  return said;
}

// last is when the order before has been answered: sent side by side, a hold and
// a go could reach the run the other way round.
let last: Promise<void> = Promise.resolve();

// soon is how long lights up waits for orders that are not answered.
const soon = (): Promise<void> => new Promise((done) => setTimeout(done, 250));


