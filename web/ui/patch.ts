// The patch list, changed in place: each field is written as it is left, and what cannot be written stays in its field, with why.
import type { Loss, Rig, Unit } from "./api";
import { answer } from "./data";
import { h } from "./dom";
import type { Pencil } from "./pencil";
import { clashes, freeAddress, type Span } from "./slots";
import { SlotMap } from "./slotmap";
import { keyOf, textOf, written, type Change, type Step, type Written } from "./write";

const file = "rig.yaml";
const heads = ["unit", "type", "mode", "universe", "address", "systems", "line", "fed by", "note", ""];

export class Patch {
  readonly element: HTMLElement;
  readonly #body = h("tbody");
  readonly #wrong = h("p", { class: "wrong", role: "alert" });
  readonly #clash = h("p", { class: "clash", role: "status" });
  readonly #ask = h("div", { class: "asks", role: "alertdialog", "aria-label": "Take it out", hidden: true });
  readonly #map: SlotMap;
  #rows = new Map<string, HTMLTableRowElement>();

  constructor(private rig: Rig, private readonly pencil: Pencil, private readonly chosen: (unit: string) => void) {
    this.#map = new SlotMap((unit) => this.#rows.get(unit)?.querySelector<HTMLElement>('[data-key="address"]')?.focus());
    this.element = h("div", { class: "patch" }, this.#wrong, this.#clash, this.#ask,
      h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Patch list" }, h("table", { class: "ruled" }, h("caption", { class: "unseen" }, "Patch list"), h("thead", {}, h("tr", {}, ...heads.map((t) => h("th", { scope: "col" }, t || h("span", { class: "unseen" }, "what to do with it"))))), this.#body)),
      this.#map.element);
    this.#fill();
  }

  renew(rig: Rig): void {
    this.rig = rig;
    this.#fill();
  }

  // fill makes the rows anew; the field that is typed in keeps its text.
  #fill(): void {
    const at = document.activeElement, had = at instanceof HTMLElement && this.#body.contains(at) ? { unit: at.closest("tr")?.dataset["row"], key: at.dataset["key"], text: at instanceof HTMLInputElement ? at.value : undefined, wrong: at.getAttribute("aria-invalid") } : undefined;
    const order = [...this.rig.units].sort((a, b) => a.universe - b.universe || a.address - b.address);
    this.#rows = new Map(order.map((u) => [u.name, this.#row(u)]));
    this.#body.replaceChildren(...this.#rows.values());
    this.#tellSlots(this.#spans());
    const next = had?.unit && had.key ? this.#rows.get(had.unit)?.querySelector<HTMLElement>(`[data-key="${had.key}"]`) : undefined;
    if (!next) return;
    if (next instanceof HTMLInputElement && had?.text !== undefined) next.value = had.text;
    if (had?.wrong) next.setAttribute("aria-invalid", had.wrong);
    next.focus();
  }

  #spans(): Span[] {
    return this.rig.units.map((u) => ({ unit: u.name, universe: u.universe, from: u.address, to: u.last || u.address, mode: `${u.type} ${u.mode}` }));
  }

  // tellSlots draws who listens to which slots, and says which do to the same.
  #tellSlots(spans: readonly Span[]): void {
    this.#map.show(spans);
    this.#clash.replaceChildren(...clashes(spans).slice(0, 3).flatMap((c) => [h("span", {}, c, ". ")]));
  }

  #row(u: Unit): HTMLTableRowElement {
    const t = this.rig.types[u.type], built = this.rig.builtIn, modes = t?.modes ?? [];
    const cell = (e: HTMLElement): HTMLElement => h("td", {}, e);
    const text = (key: string, name: string, value: string, kind = ""): HTMLInputElement => {
      const e = h("input", { "data-key": key, "aria-label": `${u.name}: ${name}`, class: kind, value, spellcheck: "false", change: () => void this.#typed(u, key, e) });
      if (key === "address" || key === "universe") e.addEventListener("input", () => this.#foresee(u, key, e.value));
      return e;
    };
    const choice = (key: string, name: string, value: string, list: readonly { value: string; name: string; group?: string }[]): HTMLSelectElement => {
      const e = h("select", { "data-key": key, "aria-label": `${u.name}: ${name}`, change: () => void this.#typed(u, key, e) });
      for (const o of list) {
        let to: HTMLElement = e;
        if (o.group) {
          to = e.querySelector<HTMLElement>(`optgroup[label="${o.group}"]`) ?? h("optgroup", { label: o.group });
          if (!to.parentElement) e.append(to);
        }
        to.append(h("option", { value: o.value }, o.name));
      }
      e.value = value;
      return e;
    };
    const plain = (names: readonly string[]): { value: string; name: string }[] => names.map((n) => ({ value: n, name: n }));
    const feeds = [{ value: "", name: "not said" }, ...this.rig.circuits.map((c) => ({ value: "circuit " + c.name, name: c.name, group: "circuits" })), ...this.rig.units.filter((o) => o.name !== u.name).map((o) => ({ value: "unit " + o.name, name: "through " + o.name, group: "through" }))];
    const row = h("tr", { "data-row": u.name, click: () => this.chosen(u.name) },
      h("th", { scope: "row" }, h("span", { "data-unit": u.name }), text("unit", "name", u.name, "name")),
      cell(choice("type", "type", t?.id ?? "", [...this.rig.types.map((x) => ({ value: x.id, name: x.name, group: "of this show" })), ...built.map((x) => ({ value: x.id, name: x.id, group: "built in: cheap lamps as they are met, in wide intervals" }))])),
      cell(modes.length > 1 ? choice("mode", "mode", u.mode || modes[0]?.name || "", plain(modes.map((m) => m.name))) : h("span", { class: "soft" }, modes[0]?.name ?? "")),
      cell(text("universe", "universe", String(u.universe), "few")),
      cell(h("span", { class: "slots" }, text("address", "start address", String(u.address), "few"), u.last > u.address ? ` to ${u.last}` : "")),
      cell(text("systems", "systems", u.systems.join(", "))),
      cell(choice("line", "data line", u.line, [{ value: "", name: "not said" }, ...plain(this.rig.lines)])),
      cell(choice("feed", "fed by", u.fedBy ? "unit " + u.fedBy : u.circuit ? "circuit " + u.circuit : "", feeds)),
      cell(text("note", "note", u.note)),
      h("td", { class: "acts" }, h("button", { type: "button", "data-key": "copy", click: () => void this.#copy(u) }, "Copy"), h("button", { type: "button", "data-key": "out", click: () => void this.#askOut(u) }, "Take out")));
    return row;
  }

  // foresee says what an address would come to while it is typed.
  #foresee(u: Unit, key: "address" | "universe", text: string): void {
    const n = Number(text);
    if (!Number.isInteger(n) || n < 1) return;
    this.#tellSlots(this.#spans().map((s) => (s.unit !== u.name ? s : key === "universe" ? { ...s, universe: n } : { ...s, from: n, to: n + s.to - s.from })));
  }

  #at(u: Unit, ...more: Step[]): Step[] {
    return ["units", { unit: u.name }, ...more];
  }

  #set(u: Unit, is: Written, key: string, to: Written): Change[] {
    const was = keyOf(is, key);
    if (was === null && (to === null || to === "")) return [];
    return [{ file, do: "set", at: this.#at(u, key), was, to: to === "" ? null : to }];
  }

  #turn: Promise<unknown> = Promise.resolve();

  #typed(u: Unit, key: string, e: HTMLInputElement | HTMLSelectElement): Promise<void> {
    const typed = this.#turn.then(async () => {
      const ok = await this.#write(await this.#changes(u, key, e.value.trim()));
      // The rows may have been made anew meanwhile.
      (this.#rows.get(u.name)?.querySelector(`[data-key="${key}"]`) ?? e).setAttribute("aria-invalid", String(!ok));
    });
    this.#turn = typed.catch(() => undefined);
    return typed;
  }

  // changes are what a field asks for.
  async #changes(u: Unit, key: string, to: string): Promise<Change[]> {
    const is = await written(file, this.#at(u));
    if (key === "unit") return to === u.name ? [] : [{ file, do: "rename", at: this.#at(u), to }];
    if (key === "systems") {
      const names = to.split(",").map((s) => s.trim()).filter(Boolean);
      return this.#set(u, is, key, names.length ? names : null);
    }
    if (key === "type") return [...this.#set(u, is, "type", to), ...this.#set(u, is, "mode", this.#firstMode(to))];
    if (key === "feed") {
      const [kind, name] = [to.slice(0, to.indexOf(" ")), to.slice(to.indexOf(" ") + 1)];
      return [...this.#set(u, is, "circuit", kind === "circuit" ? name : null), ...this.#set(u, is, "fed by", kind === "unit" ? name : null)];
    }
    if (key === "line") return [...this.#set(u, is, "line", to), ...await this.#onLine(u, textOf(keyOf(is, "line")), to)];
    return textOf(keyOf(is, key)) === to ? [] : this.#set(u, is, key, to);
  }

  // firstMode is the mode that a unit of a type is given, null where the type has one alone.
  #firstMode(type: string): string | null {
    const modes = (this.rig.types.find((t) => t.id === type) ?? this.rig.builtIn.find((t) => t.id === type))?.modes ?? [];
    return modes.length > 1 ? modes[0]?.name ?? null : null;
  }

  // onLine takes a unit out of the order of one line, and puts it at the end of another's.
  async #onLine(u: Unit, from: string, to: string): Promise<Change[]> {
    const out: Change[] = [];
    const orderOf = async (line: string): Promise<Written> => (line ? keyOf(await written(file, ["lines", line]), "order") : null);
    const was = await orderOf(from), next = await orderOf(to);
    if (Array.isArray(was)) {
      const i = (was as Written[]).indexOf(u.name);
      if (i >= 0) out.push({ file, do: "cut", at: ["lines", from, "order", i] });
    }
    if (Array.isArray(next) && !(next as Written[]).includes(u.name)) out.push({ file, do: "add", at: ["lines", to, "order"], to: u.name });
    return out;
  }

  async #write(changes: readonly Change[]): Promise<boolean> {
    if (!changes.length) return true;
    const ok = await this.pencil.write(changes);
    this.#wrong.textContent = ok ? "" : this.pencil.said;
    void this.pencil.look();
    return ok;
  }

  // copy makes another unit like one: beside it, at the next address that is free.
  async #copy(u: Unit): Promise<void> {
    const is = await written(file, this.#at(u)), name = this.#freeName(u.name), span = this.#spans().find((s) => s.unit === u.name);
    if (is === null || typeof is !== "object" || Array.isArray(is) || !span) return;
    const address = freeAddress(this.#spans(), span);
    if (address === undefined) {
      this.#wrong.textContent = `Universe ${u.universe} has no ${span.to - span.from + 1} slots in a row left: give ${u.name} another universe, then copy it.`;
      return;
    }
    const at = keyOf(is, "at"), to = { ...(is as Record<string, Written>), unit: name, address: String(address), ...(Array.isArray(at) && { at: [`${+(u.at[0] + 0.5).toFixed(3)} m`, ...(at as Written[]).slice(1)] }) };
    const line = textOf(keyOf(is, "line")), order = line ? keyOf(await written(file, ["lines", line]), "order") : null;
    if (await this.#write([{ file, do: "add", at: this.#at(u), to }, ...(Array.isArray(order) ? [{ file, do: "add", at: ["lines", line, "order"], to: name } as const] : [])])) this.chosen(name);
  }

  #freeName(like: string): string {
    const stem = like.replace(/ \d+$/, "");
    for (let n = 2; ; n++) if (!this.rig.units.some((u) => u.name === `${stem} ${n}`)) return `${stem} ${n}`;
  }

  // askOut tells what would be lost before a unit is taken out.
  async #askOut(u: Unit): Promise<void> {
    const losses = await answer<Loss[]>("/api/without?unit=" + encodeURIComponent(u.name)), fed = this.rig.units.filter((o) => o.fedBy === u.name).map((o) => o.name);
    const percent = (l: Loss): string => (l.share > 0.995 ? `all light on ${l.on}` : `${Math.round(100 * l.share)} % of the light on ${l.on}`);
    const close = (): void => {
      this.#ask.hidden = true;
      this.#rows.get(u.name)?.querySelector<HTMLElement>('[data-key="out"]')?.focus();
    };
    const yes = h("button", { type: "button", "data-do": "out", click: async () => {
      close();
      await this.#write([{ file, do: "take out", at: this.#at(u) }]);
    } }, `Take ${u.name} out`);
    this.#ask.replaceChildren(h("h3", {}, `Without ${u.name}`),
      losses.length ? h("ul", {}, ...losses.slice(0, 8).map((l) => h("li", {}, `look ${l.look} loses ${percent(l)}`)), losses.length > 8 && h("li", {}, `and ${losses.length - 8} more looks lose less`)) : h("p", {}, "No look loses a twentieth of the light on anything."),
      h("p", {}, fed.length ? `${fed.join(", ")} ${fed.length > 1 ? "are" : "is"} fed through it, and will be fed by what feeds it.` : ""),
      h("p", { class: "acts" }, yes, h("button", { type: "button", click: close }, "Leave it")));
    this.#ask.hidden = false;
    yes.focus();
  }
}
