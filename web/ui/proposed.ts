// Drafted cues, gone through one after the other: each is heard and seen in its place, and taken or
// refused by a key. What is refused is not drafted again.
import type { Cue } from "./api";
import { clock, plural } from "./clock";
import { h } from "./dom";
import type { Brief, Model } from "./model";
import type { Pencil } from "./pencil";
import type { Rehearsal } from "./rehearsal";
import { Spans } from "./spans";
import type { Change } from "./write";

// decisions is the file in which it stands what was decided of moments of the sound that the cues of a file are for.
const decisions = (cues: string): string => (cues === "score.yaml" ? "spotting.yaml" : cues.replace(/\.yaml$/, "-spotting.yaml"));

// Host is the page on which they are gone through.
type Host = { go: (c: Brief) => void; open: (number: string) => void };

export class Proposed {
  readonly element = h("section", { class: "proposed", "aria-label": "Drafted cues", hidden: true });
  readonly #said = h("p", { role: "status" });
  #at = ""; // the number of the cue that is being looked at; "" while nobody goes through them
  #cue: Cue | undefined;
  #busy = false;

  constructor(private model: Model, private readonly pencil: Pencil, private readonly sound: Rehearsal, private readonly host: Host) {
    addEventListener("keydown", (e) => this.#key(e));
    this.#fill();
  }

  get #drafts(): Brief[] {
    return this.model.show.cues.drafted.flatMap((i) => this.model.cues[i] ?? []);
  }

  renew(model: Model): void {
    this.model = model;
    if (!this.#at || this.#drafts.some((c) => c.number === this.#at)) this.#fill();
    else if (!this.#busy) void this.see(this.#drafts[0]); // somebody else has decided it
  }

  // see shows one where it is, and plays it.
  async see(c: Brief | undefined): Promise<void> {
    this.#at = c?.number ?? "";
    this.#cue = undefined;
    if (!c) {
      this.sound.stop();
      return this.#fill();
    }
    this.#fill();
    this.host.go(c);
    this.host.open(c.number);
    void this.sound.round(c);
    const piece = await this.model.spans.ask(Spans.of(c.moment));
    if (this.#at !== c.number) return;
    this.#cue = piece.cues.find((x) => x.number === c.number);
    this.#fill();
  }

  #next(by: 1 | -1): Brief | undefined {
    const list = this.#drafts, i = list.findIndex((c) => c.number === this.#at);
    return list[(i + by + list.length) % list.length];
  }

  // decide takes the cue, or refuses it, and goes on to the next.
  async #decide(take: boolean): Promise<void> {
    const cue = this.#cue, list = this.#drafts, i = list.findIndex((c) => c.number === this.#at);
    if (this.#busy || !cue || i < 0) return;
    const at = ["cues", { cue: cue.number }];
    const changes: Change[] = take ? [{ file: cue.file, do: "set", at: [...at, "by"], was: "draft", to: "accepted" }] : [{ file: cue.file, do: "cut", at }];
    if (!take && cue.on) changes.push({ file: decisions(cue.file), do: "add", at: ["decisions"], to: { moment: cue.on, verdict: "reject" } });
    this.#busy = true;
    if (await this.pencil.write(changes)) {
      void this.pencil.look();
      await this.see(list[i + 1] ?? (i > 0 ? list[0] : undefined));
    }
    this.#busy = false;
  }

  async #takeAll(): Promise<void> {
    const pieces = await Promise.all([...new Set(this.#drafts.map((c) => Spans.of(c.moment)))].map((k) => this.model.spans.ask(k)));
    const drafts = pieces.flatMap((p) => p.cues).filter((c) => c.by === "draft");
    if (await this.pencil.write(drafts.map((c) => ({ file: c.file, do: "set", at: ["cues", { cue: c.number }, "by"], was: "draft", to: "accepted" })))) await this.see(undefined);
  }

  #fill(): void {
    const list = this.#drafts, i = list.findIndex((c) => c.number === this.#at), c = list[i];
    this.element.hidden = !this.model.show.writes || !list.length && !this.#at;
    if (this.element.hidden) return;
    const had = this.element.contains(document.activeElement);
    const b = (words: string, key: string, does: () => void): HTMLElement => h("button", { type: "button", "aria-keyshortcuts": key, click: does }, words, h("kbd", {}, key));
    if (!list.length) this.element.replaceChildren(h("p", { role: "status" }, "All that was drafted is decided."));
    else if (!this.#at || !c) {
      this.element.replaceChildren(h("p", {}, plural(list.length, "drafted cue"), " ", h("button", { type: "button", click: () => void this.see(list[0]) }, "Go through them"), " ", h("button", { type: "button", click: () => void this.#takeAll() }, "Take all")));
    } else {
      this.#said.textContent = `Draft ${i + 1} of ${list.length}: cue ${c.number}, ${this.model.look(c)?.name ?? ""}, at ${clock(c.moment, 1)}`;
      this.element.replaceChildren(this.#said, this.#cue?.why ? h("p", { class: "why" }, this.#cue.why) : "",
        h("p", { class: "acts" }, b("Take it", "k", () => void this.#decide(true)), b("Refuse it", "x", () => void this.#decide(false)),
          b("Before", "u", () => void this.see(this.#next(-1))), b("Next", "i", () => void this.see(this.#next(1))), h("button", { type: "button", click: () => void this.see(undefined) }, "Enough")));
    }
    if (had) this.element.querySelector("button")?.focus();
  }

  #key(e: KeyboardEvent): void {
    const on = e.target instanceof Element ? e.target : document.body;
    if (!this.#at || e.ctrlKey || e.metaKey || e.altKey || on.closest("input:not([type=range]), select, textarea")) return;
    if (e.key === "k") void this.#decide(true);
    else if (e.key === "x") void this.#decide(false);
    else if (e.key === "i") void this.see(this.#next(1));
    else if (e.key === "u") void this.see(this.#next(-1));
    else return;
    e.preventDefault();
  }
}
