// A look changed by eye: what moves under the hand is seen at once, and written when it is let go.
import type { Look } from "./api";
import { h } from "./dom";
import { lightOf, share, sliderOf } from "./hue";
import type { Model } from "./model";
import type { Pencil } from "./pencil";
import { keyOf, textOf, write, written, type Change, type Step, type Written } from "./write";

const number = (text: string): number => Number.parseFloat(text);

// ratio is a share as files write it, 0 to 1: 60 %, 0.6.
const ratio = (text: string): number => (text.includes("%") ? number(text) / 100 : number(text)) || 0;

// A quantity that the eye takes by ratios: its slider goes evenly through them.
type Log = { low: number; high: number; write: (v: number) => string };
const figures = (v: number): string => String(+v.toPrecision(2));
const lux: Log = { low: 0.1, high: 3000, write: figures };
const glow: Log = { low: 0.01, high: 100, write: (v) => `${figures(v)} cd/m2` };
const over: Log = { low: 1, high: 100, write: figures };
const place = (q: Log, v: number): number => (100 * Math.log(Math.min(Math.max(v, q.low), q.high) / q.low)) / Math.log(q.high / q.low);
const value = (q: Log, slider: number): number => q.low * (q.high / q.low) ** (slider / 100);

const kelvins = { low: 1800, high: 10000 };
// Temperatures of colour are told apart by their reciprocals (mired).
const kelvinAt = (slider: number): number => Math.round(1e6 / (1e6 / kelvins.low - (slider / 100) * (1e6 / kelvins.low - 1e6 / kelvins.high)) / 50) * 50;
const sliderAt = (k: number): number => (100 * (1e6 / kelvins.low - 1e6 / k)) / (1e6 / kelvins.low - 1e6 / kelvins.high);

// Seen is where a look is seen while it is changed: with changes that are not written, under the light of its name.
export type Seen = { changes: readonly Change[] | undefined; show: (light: string, quick?: boolean) => void };

export class LookSlip {
  readonly element = h("div", { class: "slip lookslip" });
  readonly #wrong = h("p", { class: "wrong", role: "alert" });
  #is: Written = null;
  #look: Look;

  // index is the look's number, by which its picture is asked for.
  constructor(private readonly model: Model, look: Look, private readonly index: number, private readonly picture: Seen | undefined, private readonly pencil: Pencil, private readonly closed: () => void) {
    this.#look = look;
    void this.read();
  }

  // read shows the look as it is written now.
  async read(look = this.#look): Promise<void> {
    this.#look = look;
    const was = this.#is;
    this.#is = await written(look.file, ["looks", look.name]);
    if (JSON.stringify(was) !== JSON.stringify(this.#is) || !this.element.childElementCount) this.#fill();
  }

  get #parts(): readonly Written[] {
    const parts = keyOf(this.#is, "parts");
    return Array.isArray(parts) ? parts as readonly Written[] : [];
  }

  #fill(): void {
    const at = document.activeElement instanceof HTMLElement && this.element.contains(document.activeElement) ? document.activeElement.dataset["at"] : undefined;
    const like = textOf(keyOf(this.#is, "like")), names = this.model.lookNames.filter((n) => n !== this.#look.name);
    const choose = (label: string, does: (name: string) => void): HTMLElement => {
      const s = h("select", { "aria-label": label, change: () => { if (s.value) does(s.value); } }, h("option", { value: "" }, label), ...names.map((n) => h("option", { value: n }, n)));
      return s;
    };
    const name = h("input", { "aria-label": "name of a new look", placeholder: "a new look like this" });
    this.element.replaceChildren(
      like ? h("p", {}, `It has all that ${like} has; what is here comes on top.`) : "",
      ...this.#parts.map((p, i) => this.#part(p, i)),
      this.#wrong,
      h("p", { class: "acts" }, this.#newPart(), choose("copy its parts from…", (n) => void this.#copy(n)), choose("beside it, see…", (n) => this.#beside(n))),
      h("form", { class: "acts", submit: (e) => { e.preventDefault(); void this.#make(name.value.trim()); } }, name, h("button", {}, "Make it"), h("button", { type: "button", click: () => this.close() }, "Close")));
    if (at) this.element.querySelector<HTMLElement>(`[data-at="${CSS.escape(at)}"]`)?.focus();
  }

  close(): void {
    this.#try(undefined);
    this.element.remove();
    this.closed();
  }

  #at(...more: Step[]): Step[] {
    return ["looks", this.#look.name, ...more];
  }

  // part is one part of the look: who lights, and how.
  #part(p: Written, i: number): HTMLElement {
    const units = keyOf(p, "units"), who = textOf(keyOf(p, "system")) || (Array.isArray(units) ? units.map((u) => textOf(u as Written)).join(", ") : textOf(units));
    const rows: (HTMLElement | false)[] = [];
    const has = (key: string): boolean => keyOf(p, key) !== null;
    const change = (key: readonly string[], to: string): Change => {
      let was: Written = p;
      for (const k of key) was = keyOf(was, k);
      return { file: this.#look.file, do: "set", at: this.#at("parts", i, ...key), was, to };
    };
    const slider = (label: string, key: readonly string[], at: number, words: (s: number) => string): HTMLElement => {
      const out = h("output", {}, words(at));
      const to = (): string => words(Number(e.value));
      const e = h("input", { type: "range", min: 0, max: 100, step: 0.5, value: at, "aria-label": `${who}: ${label}`, "data-at": `${i} ${key.join(" ")}`,
        input: () => { out.textContent = to(); this.#try([change(key, to())]); }, change: () => void this.#write([change(key, to())]) });
      return h("label", {}, label, e, out);
    };
    const colour = textOf(keyOf(p, "colour"));
    if (has("colour") || has("level") || has("lux")) rows.push(this.#colour(who, i, colour, change));
    if (has("level")) rows.push(slider("level", ["level"], sliderOf(ratio(textOf(keyOf(p, "level")))), (s) => share(lightOf(s))));
    const log = (label: string, key: readonly string[], q: Log, text: string): void => { rows.push(slider(label, key, place(q, number(text)), (s) => q.write(value(q, s)))); };
    if (has("lux")) log(`lux on ${textOf(keyOf(p, "on"))}`, ["lux"], lux, textOf(keyOf(p, "lux")));
    const g = keyOf(p, "glow");
    if (g !== null) {
      const what = textOf(keyOf(g, "object"));
      if (keyOf(g, "luminance") !== null) log(`${what} glows`, ["glow", "luminance"], glow, textOf(keyOf(g, "luminance")));
      if (keyOf(g, "over background") !== null) log(`${what} over its background, times`, ["glow", "over background"], over, textOf(keyOf(g, "over background")));
    }
    const emitters = keyOf(p, "emitters");
    if (emitters && typeof emitters === "object") for (const e of Object.keys(emitters)) rows.push(slider(e, ["emitters", e], sliderOf(ratio(textOf(keyOf(emitters, e)))), (s) => share(lightOf(s))));
    return h("fieldset", { class: "part" }, h("legend", {}, who || "no unit"), ...rows,
      h("button", { type: "button", class: "out", "aria-label": `take out ${who}`, click: () => void this.#write([{ file: this.#look.file, do: "cut", at: this.#at("parts", i), was: p }]) }, "take out"));
  }

  // colour is chosen by eye, by its temperature, or typed.
  #colour(who: string, i: number, is: string, change: (key: readonly string[], to: string) => Change): HTMLElement {
    const k = /^(\d+) ?K$/.exec(is);
    const hex = h("input", { type: "color", "aria-label": `${who}: colour`, "data-at": `${i} hex`, value: /^#[0-9a-f]{6}$/i.test(is) ? is : "#ffffff",
      input: () => { text.value = hex.value; this.#try([change(["colour"], hex.value)]); }, change: () => void this.#write([change(["colour"], hex.value)]) });
    const warm = h("input", { type: "range", min: 0, max: 100, step: 0.5, "aria-label": `${who}: warm to cold white`, "data-at": `${i} kelvin`, value: sliderAt(k ? Number(k[1]) : 4000),
      input: () => { text.value = `${kelvinAt(Number(warm.value))} K`; this.#try([change(["colour"], text.value)]); }, change: () => void this.#write([change(["colour"], `${kelvinAt(Number(warm.value))} K`)]) });
    const text = h("input", { "aria-label": `${who}: colour as it is written`, "data-at": `${i} colour`, class: "short", value: is, placeholder: "white", change: () => void this.#write([change(["colour"], text.value.trim())]) });
    return h("p", { class: "hue" }, h("span", {}, "colour"), hex, h("span", {}, "warm"), warm, h("span", {}, "cold"), text);
  }

  // newPart offers the systems that the show has.
  #newPart(): HTMLElement {
    const systems = [...new Set(this.model.show.ribbons.map((r) => r.name))];
    const s = h("select", { "aria-label": "another part", change: () => {
      const dark = this.model.show.ribbons.find((r) => r.name === s.value)?.dark;
      if (!s.value) return;
      const to: Written = dark ? { system: s.value, emitters: { uv: "30 %" } } : { system: s.value, colour: "#ffffff", level: "30 %" };
      void this.#write([this.#parts.length || keyOf(this.#is, "parts") !== null ? { file: this.#look.file, do: "add", at: this.#at("parts"), to } : { file: this.#look.file, do: "set", at: this.#at("parts"), was: null, to: [to] }]);
    } }, h("option", { value: "" }, "another part…"), ...systems.map((n) => h("option", { value: n }, n)));
    return s;
  }

  async #copy(from: string): Promise<void> {
    const parts = keyOf(await written(this.#look.file, ["looks", from]), "parts");
    if (!Array.isArray(parts) || !parts.length) this.#wrong.textContent = `${from} has no parts of its own.`;
    else await this.#write((parts as readonly Written[]).map((to) => ({ file: this.#look.file, do: "add", at: this.#at("parts"), to })));
  }

  async #make(name: string): Promise<void> {
    if (!name) return;
    const { purpose: _, ...rest } = this.#is as Record<string, Written>;
    await this.#write([{ file: this.#look.file, do: "set", at: ["looks", name], was: null, to: rest }]);
  }

  // beside shows another look's picture under this one's.
  #beside(name: string): void {
    this.element.dispatchEvent(new CustomEvent("beside", { detail: this.model.show.looks.findIndex((l) => l.name === name) }));
  }

  // try shows what a change would come to. While a hand moves, pictures are small.
  #try(changes: readonly Change[] | undefined): void {
    if (!this.picture) return;
    this.picture.changes = changes;
    this.picture.show("look=" + this.index, !!changes);
  }

  async #write(changes: readonly Change[]): Promise<void> {
    try {
      this.pencil.say((await write(changes)).what);
      this.#wrong.textContent = "";
    } catch (e) {
      this.#wrong.textContent = e instanceof Error ? e.message : String(e);
    }
    this.#try(undefined);
    await this.read();
    void this.pencil.look();
  }
}
