// The slip: one cue as it is written, to be changed. Each field is written as it is left, and what
// cannot be written stays in its field, with why.
import type { Cue, Look } from "./api";
import { clock } from "./clock";
import { anchorOf, nearest, numberBetween, seconds } from "./cue";
import { answer } from "./data";
import { h } from "./dom";
import { LookSlip, type Seen } from "./lookslip";
import type { Brief, Model } from "./model";
import type { Pencil } from "./pencil";
import { Spans } from "./spans";
import { keyOf, NotAsSeen, textOf, write, written, type Change, type Written } from "./write";

// Fields of a cue, with what stands in an empty one.
const times: readonly { key: string; name: string; says: string }[] = [
  { key: "up", name: "up", says: "at once" },
  { key: "down", name: "down", says: "as up" },
  { key: "delay", name: "delay", says: "none" },
  { key: "hold", name: "hold", says: "none" },
  { key: "returns", name: "falls back", says: "it stays" },
];
const landings = ["starts", "peaks", "completes"];

// withUnit lets a person type 3 for 3 s.
const withUnit = (text: string): string => (/^\d+(\.\d+)?$/.test(text.trim()) ? `${text.trim()} s` : text.trim());

export class Slip {
  readonly element = h("section", { class: "slip", hidden: true, "aria-label": "The cue as it is written" });
  readonly #wrong = h("p", { class: "wrong", role: "alert" });
  #model: Model;
  #brief: Brief | undefined;
  #cue: Cue | undefined;
  #is: Written = null;
  onGo: (t: number) => void = () => {};
  onMade: (number: string) => void = () => {}; // a cue was made, which is to be opened
  onTry: (changes: readonly Change[] | undefined) => void = () => {}; // of what is not written yet
  #light: { look: string; slip: LookSlip } | undefined; // the look of the cue, while it is changed
  #wants = ""; // a look that is to be opened as soon as it is the cue's

  constructor(model: Model, private readonly pencil: Pencil) {
    this.#model = model;
    this.element.addEventListener("keydown", (e) => {
      if (e.key !== "Escape") return;
      e.stopPropagation();
      this.close();
    });
  }

  get number(): string {
    return this.element.hidden ? "" : this.#brief?.number ?? "";
  }

  // written tells whether somebody has written the cue that is open.
  get written(): boolean {
    return !this.element.hidden && this.#is !== null;
  }

  // open shows a cue as it is written.
  async open(b: Brief, focus: boolean): Promise<void> {
    this.#brief = b;
    this.#takes ||= focus;
    const piece = await this.#model.spans.ask(Spans.of(b.moment));
    const cue = piece.cues.find((c) => c.number === b.number);
    if (!cue || this.#brief !== b) return;
    this.#cue = cue;
    this.#is = cue.file ? await written(cue.file, this.#at()) : null;
    if (this.#brief !== b) return;
    this.element.hidden = false;
    this.#fill();
  }

  #takes = false; // the focus, as soon as it is filled

  close(): void {
    this.#shut();
    this.element.hidden = true;
    this.#brief = undefined;
    this.element.dispatchEvent(new Event("closed"));
  }

  // renew goes over to another edition of the show; the field that is typed in keeps its text.
  renew(model: Model): void {
    this.#model = model;
    const b = this.#brief && model.cues.find((c) => c.number === this.#brief?.number);
    if (!this.#brief) return;
    if (!b) this.close();
    else if (!this.element.contains(document.activeElement) || document.activeElement instanceof HTMLButtonElement) void this.open(b, false);
    else {
      this.#brief = b;
      const cue = this.#cue;
      if (cue) void written(cue.file, this.#at()).then((is) => { if (this.#brief === b) this.#take(is); });
    }
  }

  #at(...more: string[]): (string | Record<string, string>)[] {
    return ["cues", { cue: this.#brief?.number ?? "" }, ...more];
  }

  // take has the fields that nobody types in show what is written now.
  #take(is: Written): void {
    this.#is = is;
    if (this.#wants && this.#wants === this.#shown("look")) return this.#fill();
    for (const e of this.element.querySelectorAll<HTMLInputElement | HTMLSelectElement>("[data-key]")) {
      if (e !== document.activeElement) e.value = this.#shown(e.dataset["key"] ?? "");
    }
  }

  #shown(key: string): string {
    if (key === "when") return textOf(keyOf(this.#is, "on")) || textOf(keyOf(this.#is, "at"));
    if (key === "lands") return textOf(keyOf(this.#is, "lands")) || "starts";
    return textOf(keyOf(this.#is, key));
  }

  #fill(): void {
    const b = this.#brief, cue = this.#cue, had = this.element.contains(document.activeElement) && document.activeElement instanceof HTMLElement ? document.activeElement.dataset["key"] : undefined;
    if (!b || !cue) return;
    if (this.#is === null) {
      this.element.replaceChildren(h("h2", {}, `Cue ${b.number}`), h("p", {}, "Nobody has written this cue: it is guessed from the order of the looks. Write cues of your own with the key c, and the guess goes."), this.#closing());
      return;
    }
    const when = this.#field("when", "when", "0:12.400, or hit 0:31.2");
    const by = (ms: number): HTMLElement => h("button", { type: "button", "aria-label": `${Math.abs(ms)} ms ${ms < 0 ? "earlier" : "later"}`, click: () => void this.move(ms / 1000) }, `${ms < 0 ? "−" : "+"}${Math.abs(ms)}`);
    const look = h("select", { "data-key": "look", change: () => void this.#set("look", look.value) }, ...this.#model.lookNames.map((n) => h("option", { value: n }, n)));
    look.value = this.#shown("look");
    const lands = h("select", { "data-key": "lands", change: () => void this.#set("lands", lands.value) }, ...landings.map((n) => h("option", { value: n }, n === "completes" ? "is complete" : n)));
    lands.value = this.#shown("lands");
    this.element.replaceChildren(
      h("h2", {}, "Cue ", this.#field("cue", "number", "", "number")),
      h("label", {}, "look", look),
      this.#lightButton(),
      h("label", {}, "when", when),
      h("p", { class: "by" }, by(-10), by(-1), h("span", {}, "ms"), by(1), by(10), h("button", { type: "button", click: () => void this.#beat(-1) }, "beat −"), h("button", { type: "button", click: () => void this.#beat(1) }, "beat +"), h("button", { type: "button", title: "tie it to the moment of the sound that is nearest", click: () => void this.#tie() }, "to the sound")),
      h("label", {}, "it", lands, " then"),
      h("div", { class: "times" }, ...times.map((t) => h("label", {}, t.name, this.#field(t.key, t.name, t.says)))),
      h("label", { class: "why" }, "why", this.#field("why", "why", this.#model.look(b)?.purpose ?? "")),
      this.#wrong,
      h("p", { class: "acts" },
        h("button", { type: "button", click: () => void this.#split() }, "Copy behind it"),
        h("button", { type: "button", click: () => void this.#cut() }, "Take it out"),
        ...(textOf(keyOf(this.#is, "by")) ? [h("button", { type: "button", click: () => void this.#set("by", "") }, "Keep the draft")] : []),
        h("button", { type: "button", click: () => this.close() }, "Close")));
    this.#wrong.textContent = "";
    this.#keepLight();
    if (this.#takes) when.focus();
    else if (had) this.element.querySelector<HTMLElement>(`[data-key="${had}"]`)?.focus();
    this.#takes = false;
  }

  // lightButton opens the look of the cue for changing, here, where it is seen.
  #lightButton(): HTMLElement {
    const name = this.#shown("look");
    const users = this.#model.cues.filter((c) => this.#model.look(c)?.name === name).length;
    return h("p", { class: "acts light" },
      h("button", { type: "button", "aria-expanded": String(!!this.#light), click: () => (this.#light ? (this.#shut(), this.#fill()) : void this.#change(name)) }, this.#light ? "Leave its light" : "Change its light"),
      users > 1 && h("button", { type: "button", title: `writes a look of its own for cue ${this.number}`, click: () => void this.#alone(name) }, "of this cue alone"),
      users > 1 && h("span", { class: "quiet" }, `or all ${users}`));
  }

  async #change(name: string): Promise<void> {
    const list = await answer<readonly Look[]>("/api/looks"), i = this.#brief?.look ?? -1, look = list[i];
    if (look?.name !== name) return;
    const seen: Seen = { changes: undefined, show: () => this.onTry(seen.changes) };
    this.#light = { look: name, slip: new LookSlip(this.#model, look, i, seen, this.pencil, () => { this.#light = undefined; this.#fill(); }) };
    this.#fill();
  }

  // shut leaves the look as it is written.
  #shut(): void {
    if (!this.#light) return;
    this.#light = undefined;
    this.onTry(undefined);
  }

  // keepLight has the look that is changed stay open while the slip is filled anew; another look is another.
  #keepLight(): void {
    const name = this.#shown("look");
    if (this.#wants === name || this.#light && this.#light.look !== name) {
      this.#wants = "";
      this.#shut();
      void this.#change(name);
    } else if (this.#light) {
      void this.#light.slip.read();
      this.element.querySelector(".light")?.after(this.#light.slip.element);
    }
  }

  // alone gives the cue a look of its own, which begins as the one that it had, and opens it.
  async #alone(name: string): Promise<void> {
    const file = (await answer<readonly Look[]>("/api/looks"))[this.#brief?.look ?? -1]?.file, is = file && await written(file, ["looks", name]);
    if (!file || !is || typeof is !== "object" || Array.isArray(is)) return;
    const { by: _, ...rest } = is as Record<string, Written>;
    const names = this.#model.lookNames;
    let own = `${name}, cue ${this.number}`;
    for (let n = 2; names.includes(own); n++) own = `${name}, cue ${this.number} ${n}`;
    this.#wants = own;
    if (!await this.#write([{ file, do: "set", at: ["looks", own], was: null, to: rest }, this.#one("look", own)])) this.#wants = "";
  }

  #closing(): HTMLElement {
    return h("p", { class: "acts" }, h("button", { type: "button", click: () => this.close() }, "Close"));
  }

  #field(key: string, name: string, says: string, kind = ""): HTMLInputElement {
    const e = h("input", { "data-key": key, "aria-label": name, placeholder: says, class: kind, spellcheck: key === "why" ? "true" : "false", change: () => void this.#typed(key, e) });
    e.value = this.#shown(key);
    return e;
  }

  // one thing after another: each sees what the one before has written.
  #turn: Promise<unknown> = Promise.resolve();

  #typed(key: string, e: HTMLInputElement): Promise<void> {
    const typed = this.#turn.then(() => this.#accept(key, e));
    this.#turn = typed.catch(() => undefined);
    return typed;
  }

  async #accept(key: string, e: HTMLInputElement): Promise<void> {
    const text = e.value.trim();
    if (text === this.#shown(key)) return;
    const ok = key === "when" ? await this.#when(text)
      : key === "cue" ? await this.#rename(text)
        : await this.#set(key, times.some((t) => t.key === key) && text ? withUnit(text) : text);
    e.setAttribute("aria-invalid", String(!ok));
  }

  // changes writes, and says in the slip what could not be.
  async #write(changes: readonly Change[]): Promise<boolean> {
    try {
      const done = await write(changes);
      for (const c of changes) this.#known(c);
      this.#wrong.textContent = "";
      this.pencil.say(done.what);
      void this.pencil.look();
      return true;
    } catch (e) {
      this.#wrong.textContent = e instanceof Error ? e.message : String(e);
      if (e instanceof NotAsSeen && this.#cue) this.#is = await written(this.#cue.file, this.#at());
      return false;
    }
  }

  // known takes what was written for what is there, before the page hears of it.
  #known(c: Change): void {
    const key = c.at[2];
    if (c.do !== "set" || typeof key !== "string" || this.#is === null || typeof this.#is !== "object" || Array.isArray(this.#is)) return;
    const { [key]: _, ...rest } = this.#is as Record<string, Written>;
    this.#is = c.to == null ? rest : { ...rest, [key]: c.to };
  }

  #one(key: string, to: string): Change {
    return { file: this.#cue?.file ?? "", do: "set", at: this.#at(key), was: keyOf(this.#is, key), to: to || null };
  }

  async #set(key: string, to: string): Promise<boolean> {
    if (!to && keyOf(this.#is, key) === null) return true;
    return this.#write([this.#one(key, to)]);
  }

  // when writes a time, or a moment of the sound.
  async #when(text: string): Promise<boolean> {
    return this.#write(this.whens(text));
  }

  // whens are the changes by which the cue comes at a time, or at a moment of the sound: each takes
  // the place of the other.
  whens(text: string): Change[] {
    const time = Number.isNaN(seconds(text)) ? "on" : "at";
    const changes: Change[] = [];
    for (const key of ["at", "on", "follows"]) {
      const is = keyOf(this.#is, key);
      if (key === time || is === null) continue;
      changes.push({ file: this.#cue?.file ?? "", do: "set", at: this.#at(key), was: is, to: null });
    }
    const value = time === "at" && /(ms|s|min)$/.test(text) ? clock(seconds(text), 3) : text;
    return [this.#one(time, value), ...changes];
  }

  // drop writes where a hand has let the cue go.
  async drop(text: string): Promise<void> {
    await this.#write(this.whens(text));
  }

  // move moves the cue by some seconds. One that is tied to a moment is let go of it.
  async move(by: number): Promise<boolean> {
    const b = this.#brief;
    if (!b) return false;
    const to = Math.max(0, Math.round((b.moment + by) * 1000) / 1000);
    const ok = await this.#when(clock(to, 3));
    if (ok) this.onGo(to);
    return ok;
  }

  // beat moves it to the next beat that was heard, or the one before.
  async #beat(by: -1 | 1): Promise<void> {
    const b = this.#brief;
    if (!b) return;
    const i = Spans.of(b.moment), all = (await Promise.all([i - 1, i, i + 1].filter((k) => k >= 0 && k * 60 < this.#model.show.length).map((k) => this.#model.spans.ask(k)))).flatMap((p) => p.moments);
    const beats = [...new Set(all.filter((m) => m.kind === "beat" || m.kind === "bar").map((m) => m.time))].sort((x, y) => x - y);
    const next = by > 0 ? beats.find((t) => t > b.moment + 0.005) : beats.filter((t) => t < b.moment - 0.005).at(-1);
    if (next === undefined) this.#wrong.textContent = "No beat was heard near by.";
    else await this.move(next - b.moment);
  }

  // tie ties the cue to the nearest moment that was heard.
  async #tie(): Promise<void> {
    const b = this.#brief;
    if (!b) return;
    const m = await nearest(this.#model, b.moment, 2);
    if (!m) this.#wrong.textContent = "Nothing was heard within 2 s.";
    else await this.#when(anchorOf(m));
  }

  async #rename(to: string): Promise<boolean> {
    const file = this.#cue?.file ?? "", at = this.#at();
    if (!await this.#write([{ file, do: "rename", at, to }])) return false;
    if (this.#brief) this.#brief = { ...this.#brief, number: to };
    return true;
  }

  async #cut(): Promise<void> {
    if (await this.#write([{ file: this.#cue?.file ?? "", do: "cut", at: this.#at(), was: this.#is }])) this.close();
  }

  // split puts the same cue once more, halfway to the next one.
  async #split(): Promise<void> {
    const b = this.#brief, cues = this.#model.cues;
    if (!b || !this.#cue || this.#is === null || typeof this.#is !== "object") return;
    const i = cues.findIndex((c) => c.number === b.number), next = cues[i + 1];
    const at = Math.round(1000 * (next ? (b.moment + next.moment) / 2 : Math.min(b.complete + 5, this.#model.show.length))) / 1000;
    const { on: _, follows: __, ...rest } = this.#is as Record<string, Written>;
    const number = numberBetween(b.number, cues.map((c) => c.number), next?.number);
    this.onMade(number);
    if (await this.#write([{ file: this.#cue.file, do: "add", at: this.#at(), to: { ...rest, cue: number, at: clock(at, 3) } }])) this.onGo(at);
    else this.onMade("");
  }
}
