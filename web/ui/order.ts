// The order page: what follows what, when, what ends it and what is said before; of an evening, or of
// each zone of a place. Time runs down.
import type { Orders, Turn, Turns } from "./api";
import { clock } from "./clock";
import { answer, post } from "./data";
import { h, main } from "./dom";
import type { Model } from "./model";
import { Pencil } from "./pencil";
import { start, type Renews } from "./start";
import { keyOf, textOf, written, type Change, type Written } from "./write";

// Fields of a step, with what stands in an empty one.
type Field = { key: string; name: string; says: string; wide?: boolean };
const standing: readonly Field[] = [
  { key: "up", name: "comes over", says: "at once" }, { key: "until", name: "until", says: "go" },
  { key: "usually", name: "usually", says: "15 min" }, { key: "at most", name: "at most", says: "25 min" },
  { key: "standby", name: "said before", says: "nothing", wide: true },
];
const piece: readonly Field[] = [
  { key: "soundtrack", name: "sound", says: "none: by the clock" }, { key: "standby", name: "said before", says: "nothing", wide: true },
];

// stretch prints how long something takes: 40 s, 20 min, 4:30.
const stretch = (s: number): string => (s < 60 ? `${+s.toFixed(1)} s` : s % 60 ? clock(s) : `${Math.round(s / 60)} min`);

// hours prints a length of an evening, to the second.
const hours = (s: number): string => clock(Math.round(s));

class Page {
  readonly #pencil: Pencil;
  readonly #body = h("div");
  #is: Orders = { piece: "", orders: [], opens: false };
  #texts: Written[] = []; // the lists as they are written, in the order of the orders

  constructor(private model: Model) {
    this.#pencil = new Pencil(() => this.model);
    main().append(h("div", { class: "chapter wide" }, h("h2", {}, "Order"), model.show.writes && this.#pencil.element, this.#body));
  }

  async fill(): Promise<void> {
    this.#is = await answer<Orders>("/api/order");
    this.#texts = await Promise.all(this.#is.orders.map((o) => (this.model.show.writes ? written(o.file, ["order"]) : null)));
    const had = document.activeElement instanceof HTMLElement && this.#body.contains(document.activeElement) ? document.activeElement.dataset["is"] : undefined;
    const parts = this.#is.orders.length ? this.#is.orders.flatMap((o, i) => this.#order(o, i)) : [this.#alone()];
    this.#body.replaceChildren(...parts);
    if (had) this.#body.querySelector<HTMLElement>(`[data-is="${CSS.escape(had)}"]`)?.focus();
  }

  async renew(model: Model): Promise<void> {
    this.model = model;
    void this.#pencil.look();
    await this.fill();
  }

  // alone is the page of a show of one piece.
  #alone(): HTMLElement {
    return h("div", {}, h("p", { class: "lede" }, "This show is one piece. An evening puts standing looks around it, which wait for go: while people come in, in the interval, for the bows; and other pieces."),
      this.model.show.writes && h("p", {}, h("button", { type: "button", click: () => void this.#begin() }, "Make it an evening")));
  }

  async #begin(): Promise<void> {
    const look = this.model.lookNames[0] ?? "", file = "order.yaml";
    await this.#pencil.write([
      { file, do: "add", at: ["order"], to: { piece: this.model.show.title || "the piece" } },
      ...(look ? [{ file, do: "add", at: ["order", "first"], to: { standing: "preshow", look, up: "3 s", usually: "20 min", "at most": "35 min" } }] as const : []),
    ]);
  }

  #order(o: Turns, i: number): HTMLElement[] {
    const last = o.steps.at(-1), usual = last ? last.usually + last.lasts : 0, most = last ? last.latest + last.atMost : 0;
    const list = h("ol", { class: "order" });
    list.append(...o.steps.map((t, k) => this.#step(o, i, t, k, list)));
    const doors = h("input", { type: "time", "aria-label": "begins at", change: () => { localStorage.setItem(`begins ${o.zone}`, doors.value); void this.fill(); } });
    doors.value = localStorage.getItem(`begins ${o.zone}`) ?? "";
    return [h("section", { "aria-label": o.zone || "The evening" }, o.zone ? h("h3", {}, o.zone, o.repeats ? h("small", {}, " again and again") : "") : "",
      h("p", { class: "lede" }, `It usually takes ${hours(usual)}`, most > usual + 1 ? `, at most ${hours(most)}` : "", ". ", h("label", {}, "It begins at ", doors)),
      list,
      h("p", { class: "ends" }, h("time", {}, this.#when(o, usual)), " the end"),
      this.model.show.writes && this.#texts[i] !== null && this.#more(o, i))];
  }

  // when is a time of the evening, by the clock where it is said when it begins.
  #when(o: Turns, s: number): string {
    const [hour, minute] = (localStorage.getItem(`begins ${o.zone}`) ?? "").split(":").map(Number);
    if (hour === undefined || minute === undefined || Number.isNaN(hour + minute)) return hours(s);
    const t = Math.round(hour * 3600 + minute * 60 + s) % 86400, two = (n: number): string => String(n).padStart(2, "0");
    return `${two(Math.floor(t / 3600))}:${two(Math.floor(t / 60) % 60)}:${two(t % 60)}`;
  }

  #step(o: Turns, i: number, t: Turn, k: number, list: HTMLElement): HTMLElement {
    const text = this.#texts[i], item = Array.isArray(text) ? (text[k] as Written) : null;
    const writes = item !== null && this.model.show.writes, at = ["order", { [t.stands ? "standing" : "piece"]: t.step }];
    const grip = h("button", { type: "button", class: "grip", "data-is": `grip ${i} ${t.step}`, "aria-label": `${t.step}: carry it, or move it by the arrow keys`, keydown: (e: Event) => {
      const by = { ArrowUp: -1, ArrowDown: 1 }[(e as KeyboardEvent).key];
      if (!by) return;
      e.preventDefault();
      void this.#move(o, t, k + by);
    } }, "⋮");
    const at_ = (key: string, field: HTMLElement): HTMLElement => { field.dataset["is"] = `${key} ${i} ${t.step}`; return field; };
    const field = (f: Field): HTMLElement => {
      const e = h("input", { placeholder: f.says, spellcheck: "false", change: () => void this.#set(o, at, f.key, e, textOf(keyOf(item, f.key))) });
      e.value = textOf(keyOf(item, f.key));
      return h("label", { class: f.wide ? "wide" : "" }, f.name, at_(f.key, e));
    };
    const look = h("select", { change: () => void this.#set(o, at, "look", look, textOf(keyOf(item, "look"))) }, ...this.model.lookNames.map((n) => h("option", { value: n }, n)));
    look.value = textOf(keyOf(item, "look"));
    const name = h("input", { "aria-label": "name", class: "named", change: () => void this.#set(o, at, t.stands ? "standing" : "piece", name, t.step) });
    name.value = t.step;
    const open = o.zone ? `${o.zone}/${t.step}` : t.step;
    const row = h("li", { class: t.stands ? "stands" : "piece" },
      h("p", { class: "at" }, h("time", {}, this.#when(o, t.usually)), t.latest > t.usually + 1 ? h("small", {}, `by ${this.#when(o, t.latest)}`) : ""),
      writes ? grip : h("span"),
      h("div", { class: "what" },
        h("p", {}, writes ? at_("name", name) : h("b", {}, t.step), " ", h("span", { class: "quiet" }, `${t.stands ? "stands" : "plays"} ${t.atMost > t.lasts + 1 ? `${stretch(t.lasts)}, at most ${stretch(t.atMost)}` : stretch(t.lasts)}; ${t.ends === "by itself" ? "goes on by itself" : "until " + t.ends}${t.standby && !writes ? "; said before: " + t.standby : ""}`)),
        writes ? h("div", { class: "fields" }, ...(t.stands ? [h("label", {}, "look", at_("look", look)), ...standing.map(field)] : piece.map(field))) : h("p", { class: "quiet" }, t.what),
        h("p", { class: "acts" },
          !t.stands && this.#is.opens && (open === this.#is.piece ? h("span", { class: "quiet" }, "the book is open at it") : h("button", { type: "button", click: () => void this.#open(open) }, "Open it in the book")),
          writes && h("button", { type: "button", click: () => void this.#pencil.write([{ file: o.file, do: "cut", at, was: item }]) }, "Take it out"))));
    grip.addEventListener("pointerdown", (e) => this.#carry(e, o, t, k, row, list));
    return row;
  }

  // carry has a step follow the hand; it goes where it is let go.
  #carry(e: PointerEvent, o: Turns, t: Turn, k: number, row: HTMLElement, list: HTMLElement): void {
    if (e.button !== 0) return;
    e.preventDefault();
    const rows = [...list.children] as HTMLElement[];
    let to = k;
    const ends = new AbortController();
    const leave = (): void => {
      ends.abort();
      row.classList.remove("carried");
      for (const r of rows) r.classList.remove("before", "behind");
    };
    row.classList.add("carried");
    addEventListener("pointermove", (m) => {
      const over = rows.findIndex((r) => { const b = r.getBoundingClientRect(); return m.clientY < b.bottom; });
      to = over < 0 ? rows.length - 1 : over;
      rows.forEach((r, n) => {
        r.classList.toggle("before", n === to && to < k);
        r.classList.toggle("behind", n === to && to > k);
      });
    }, { signal: ends.signal });
    addEventListener("keydown", (x) => { if (x.key === "Escape") leave(); }, { signal: ends.signal });
    addEventListener("pointercancel", leave, { signal: ends.signal });
    addEventListener("pointerup", () => {
      leave();
      void this.#move(o, t, to);
    }, { signal: ends.signal });
  }

  async #move(o: Turns, t: Turn, to: number): Promise<void> {
    const is = o.steps.findIndex((s) => s.step === t.step && s.stands === t.stands);
    if (to < 0 || to >= o.steps.length || to === is) return;
    await this.#pencil.write([{ file: o.file, do: "move", at: ["order", { [t.stands ? "standing" : "piece"]: t.step }], to: String(to) }]);
  }

  async #set(o: Turns, at: Change["at"], key: string, e: HTMLInputElement | HTMLSelectElement, was: string): Promise<void> {
    const to = e.value.trim();
    if (to === was) return;
    const ok = await this.#pencil.write([{ file: o.file, do: "set", at: [...at, key], was: was || null, to: to || null }]);
    e.setAttribute("aria-invalid", String(!ok));
  }

  async #open(name: string): Promise<void> {
    const text = await post("/api/piece", { piece: name });
    if (text) this.#pencil.say(text, true);
    else location.href = "/";
  }

  // more adds steps.
  #more(o: Turns, i: number): HTMLElement {
    const name = h("input", { "aria-label": "name of the new step", placeholder: "interval", "data-is": `new ${i}` }), said = h("span", { class: "wrong", role: "alert" });
    const add = async (stands: boolean): Promise<void> => {
      const n = name.value.trim();
      if (!n) { said.textContent = "It needs a name."; return name.focus(); }
      said.textContent = "";
      const cues = `pieces/${n.toLowerCase().replaceAll(/[^a-z0-9]+/g, "-")}.yaml`, look = this.model.lookNames[0] ?? "";
      const changes: Change[] = stands
        ? [{ file: o.file, do: "add", at: ["order"], to: { standing: n, look, up: "3 s", usually: "10 min", "at most": "20 min" } }]
        : [{ file: cues, do: "add", at: ["cues"], to: { cue: "1", at: "0:00", look } }, { file: o.file, do: "add", at: ["order"], to: { piece: n, cues } }];
      if (await this.#pencil.write(changes)) name.value = "";
    };
    return h("p", { class: "acts adds" }, h("label", {}, "another step ", name), h("button", { type: "button", click: () => void add(true) }, "that stands until go"), h("button", { type: "button", click: () => void add(false) }, "that plays"), said);
  }
}

void start(async (model): Promise<Renews> => {
  const page = new Page(model);
  await page.fill();
  return (next) => { void page.renew(next); return true; };
});
