// Sound in the page, to rehearse by: played from any second, round a cue, at half speed. It is the
// clock of the page and of nothing else: a performance goes by the program's own.
import type { Ticket } from "./api";
import { clock } from "./clock";
import { added, nearest, numberBetween, when } from "./cue";
import { answer } from "./data";
import { h } from "./dom";
import type { Brief, Model } from "./model";
import type { Pencil } from "./pencil";
import type { Change } from "./write";

// before and behind are how much is heard before a cue's first change and after its last, s.
const before = 3, behind = 2;

// snaps is within how many seconds a tap is taken for what was heard: people tap some hundredths
// of a second early or late.
const snaps = 0.12;

type Tap = { at: number; kept: boolean }; // kept as it was tapped

export class Rehearsal {
  readonly element: HTMLElement;
  readonly #audio = new Audio();
  readonly #play = h("button", { type: "button", click: () => void this.play(this.at()) }, "Play from here");
  readonly #stop = h("button", { type: "button", hidden: true, click: () => this.stop() }, "Stop");
  readonly #round = h("button", { type: "button", click: () => void this.round() }, "Round this cue");
  readonly #slow = h("input", { type: "checkbox", change: () => { this.#audio.playbackRate = this.#slow.checked ? 0.5 : 1; } });
  readonly #said = h("span", { role: "status" });
  readonly #taps: HTMLElement = h("div", { class: "taps", hidden: true });
  #list: Tap[] = [];
  #model: Model;
  #loop: { from: number; to: number; cue?: string } | undefined;
  #ready: Promise<void> | undefined;

  // at is where the page stands; moved is told where the sound is, in each frame while it plays.
  constructor(model: Model, private readonly pencil: Pencil, private readonly at: () => number, private readonly moved: (t: number) => void) {
    this.#model = model;
    this.#audio.preload = "auto";
    this.#audio.preservesPitch = true;
    for (const e of ["ended", "pause", "playing", "waiting", "error"]) this.#audio.addEventListener(e, () => this.#tell(e));
    this.element = h("section", { class: "rehearsal", "aria-label": "Sound", hidden: !model.show.plays },
      h("p", {}, this.#play, this.#stop, this.#round, h("label", {}, this.#slow, " half as fast"), this.#said), this.#taps);
    document.addEventListener("visibilitychange", () => { if (document.hidden) this.stop(); }); // a page that nobody sees drives nothing
  }

  renew(model: Model): void {
    this.#model = model;
    this.element.hidden = !model.show.plays;
  }

  get plays(): boolean {
    return !this.#audio.paused;
  }

  // now is the second of the show that is heard: browsers take what a device is behind off it.
  get now(): number {
    return this.#audio.currentTime;
  }

  // play plays from a second on.
  async play(from: number, loop?: { from: number; to: number; cue?: string }): Promise<void> {
    if (!this.#model.show.plays) return;
    this.#loop = loop;
    try {
      await (this.#ready ??= this.#load());
      this.#audio.currentTime = Math.max(0, from);
      this.#audio.playbackRate = this.#slow.checked ? 0.5 : 1;
      await this.#audio.play();
      requestAnimationFrame(() => this.#frame());
    } catch (e) {
      this.#ready = undefined;
      this.#said.textContent = `The sound does not play: ${e instanceof Error ? e.message : String(e)}`;
    }
  }

  stop(): void {
    this.#audio.pause();
  }

  // round plays a cue, the one that is worked on or stands where none is named, again and again, with what is before it and behind.
  async round(c = this.#cue()): Promise<void> {
    if (!c) return;
    const loop = { from: Math.max(0, c.start - before), to: Math.min(c.complete + behind, this.#model.show.length), cue: c.number };
    await this.play(loop.from, loop);
  }

  prefer: () => Brief | undefined = () => undefined; // the cue that is worked on

  #cue(): Brief | undefined {
    return this.prefer() ?? this.#model.cues[this.#model.cueAt(this.at())];
  }

  async #load(): Promise<void> {
    this.#audio.src = (await answer<Ticket>("/api/sound")).path;
  }

  #frame(): void {
    if (!this.plays) return;
    let t = this.now;
    if (this.#loop && t >= this.#loop.to) this.#audio.currentTime = t = this.#loop.from;
    this.moved(t);
    requestAnimationFrame(() => this.#frame());
  }

  #tell(what: string): void {
    this.#play.hidden = this.plays;
    this.#stop.hidden = !this.plays;
    this.element.classList.toggle("plays", this.plays);
    const c = this.#loop?.cue;
    this.#said.textContent = what === "waiting" ? "the sound is on its way" : !this.plays ? "" : `♪ the sound plays${c ? ` round cue ${c}` : ""}; the space bar notes a moment`;
  }

  // tap notes the second where the sound is; kept as it was tapped, or taken to what was heard there.
  async tap(kept: boolean): Promise<void> {
    const t = this.now, m = kept ? undefined : await nearest(this.#model, t, snaps);
    this.#list.push({ at: m?.time ?? Math.round(t * 1000) / 1000, kept: !m });
    this.#list.sort((a, b) => a.at - b.at);
    this.#show();
  }

  #show(): void {
    this.#taps.hidden = !this.#list.length;
    const look = h("select", { "aria-label": "look" }, ...this.#model.lookNames.map((n) => h("option", { value: n }, n)));
    this.#taps.replaceChildren(
      h("p", {}, "Tapped: ", ...this.#list.map((t, i) => h("button", { type: "button", title: t.kept ? "as it was tapped; press to drop it" : "on what was heard; press to drop it", click: () => { this.#list.splice(i, 1); this.#show(); } }, (t.kept ? "" : "♩ ") + clock(t.at, 2)))),
      h("p", {}, h("label", {}, "a cue at each, with the look ", look), h("button", { type: "button", click: () => void this.#write(look.value) }, "Write"), h("button", { type: "button", click: () => { this.#list = []; this.#show(); } }, "Drop all")));
  }

  // write makes a cue of each tap, all in one edit.
  async #write(look: string): Promise<void> {
    const changes: Change[] = [], numbers = this.#model.cues.map((c) => c.number);
    const known = this.#model.cues.map((c) => ({ number: c.number, at: c.start }));
    for (const t of this.#list) {
      const i = known.findLastIndex((c) => c.at <= t.at), last = known[i], next = known[i + 1];
      const number = numberBetween(last?.number ?? "0", numbers, next?.number);
      const m = t.kept ? undefined : await nearest(this.#model, t.at, 0.002);
      changes.push(added(this.file, last?.number, known.length > 0, { cue: number, ...when(t.at, m), look, up: "1 s" }));
      numbers.push(number);
      known.splice(i + 1, 0, { number, at: t.at });
    }
    if (!await this.pencil.write(changes)) return;
    this.#list = [];
    this.#show();
  }

  file = "score.yaml"; // in which cues are written
}
