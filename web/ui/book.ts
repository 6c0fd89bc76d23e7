// The book: time runs down the page.
import { clock, countdown, say, plural } from "./clock";
import { Light, save } from "./data";
import { calm, h, main, place } from "./dom";
import { Leaf, leafSeconds, type Sizes } from "./leaf";
import { remark } from "./margin";
import { timed, type Model } from "./model";
import { Pane, readings } from "./pane";
import type { Run } from "./run";
import { start } from "./start";

// The column widths; book.css has the same ones for the grid.
function sizes(model: Model): Sizes {
  const n = model.show.ribbons.length;
  const narrow = innerWidth < 760, middle = innerWidth < 1180;
  return {
    scale: narrow ? 10 : 12,
    clock: narrow ? 40 : 64,
    sound: narrow ? 44 : 96,
    gutter: narrow ? 16 : 30,
    marks: narrow ? 0 : 24,
    ribbon: Math.max(5, narrow ? Math.min(12, Math.floor(84 / Math.max(n, 1)) - 2) : Math.min(26, Math.floor((middle ? 145 : 205) / Math.max(n, 1)) - 3)),
    ribbonGap: narrow ? 2 : 3,
    merged: narrow,
  };
}

class Book {
  readonly #leaves: Leaf[] = [];
  readonly #light = new Light();
  readonly #body = h("div", { class: "leaves" });
  readonly #line = h("div", { class: "thread" }, h("time", {}));
  readonly #rule: HTMLElement;
  readonly #pane: Pane;
  readonly #now = h("div", { class: "now", "aria-live": "off" });
  readonly #values = h("div", { class: "values" });
  #sizes: Sizes;
  #at = 0;
  #following = true;
  #seen: IntersectionObserver | undefined;

  constructor(private readonly model: Model, private readonly run: Run) {
    this.#sizes = sizes(model);
    this.#pane = new Pane(model);
    this.#pane.onValues = (v) => this.#showReadings(v);
    this.#rule = h("div", {
      class: "rule", role: "slider", tabindex: 0, "aria-orientation": "vertical", "aria-label": "Second that the room is shown at",
      "aria-valuemin": 0, "aria-valuemax": Math.round(model.show.length), keydown: (e) => this.#key(e as KeyboardEvent),
    });
    this.#rule.append(this.#line);
    this.#body.addEventListener("click", (e) => this.#click(e));
    main().append(h("div", { class: "book" },
      h("div", { class: "text" }, frontMatter(model), heads(model), h("div", { class: "run-of-leaves" }, this.#body, this.#rule), colophon(model)),
      h("aside", { class: "beside", "aria-label": "The room at the playhead" }, this.#pane.element, this.#now, this.#values, this.#followButton())));
    this.#lay();
    this.#listen();
    this.go(model.show.cues[0]?.complete ?? 0, false);
  }

  // lay sets the columns and makes the leaves, empty.
  #lay(): void {
    const s = this.#sizes, n = this.model.show.ribbons.length, root = document.documentElement.style;
    const lights = Math.max(0, n * (s.ribbon + s.ribbonGap) - s.ribbonGap);
    for (const [name, v] of Object.entries({ clock: s.clock, sound: s.sound, gutter: s.gutter, marks: s.marks, light: lights, ribbon: s.ribbon + s.ribbonGap })) {
      root.setProperty("--" + name, v + "px");
    }
    document.documentElement.classList.toggle("merged", s.merged);
    const count = Math.max(1, Math.ceil(this.model.show.length / leafSeconds));
    this.#leaves.splice(0);
    for (let i = 0; i < count; i++) this.#leaves.push(new Leaf(this.model, this.#light, s, i, this.model.show.length));
    this.#body.replaceChildren(...this.#leaves.map((l) => l.element));
    this.#watchLeaves();
  }

  // Only leaves near the window are filled, so that an hour scrolls like a minute.
  #watchLeaves(): void {
    this.#seen?.disconnect();
    this.#seen = new IntersectionObserver((entries) => {
      for (const e of entries) {
        const leaf = this.#leaves[Number((e.target as HTMLElement).dataset["leaf"])];
        if (e.isIntersecting) leaf?.fill();
        else if (this.#leaves.length > 12) leaf?.drop();
      }
      this.#mark();
    }, { rootMargin: "1200px 0px" });
    for (const l of this.#leaves) this.#seen.observe(l.element);
  }

  #listen(): void {
    this.run.watch(() => {
      this.#button.hidden = !this.run.here || this.#following;
      if (this.run.here && this.#following) this.go(this.run.now, true);
    });
    let width = innerWidth;
    addEventListener("resize", () => {
      if (innerWidth === width) return;
      width = innerWidth;
      this.#sizes = sizes(this.model);
      this.#lay();
      this.go(this.#at, false);
    });
    for (const name of ["wheel", "touchmove"]) addEventListener(name, () => this.#leave(), { passive: true });
    // Light is fetched while nothing else happens, so that no leaf is turned to that has none.
    const idle = async (): Promise<void> => { for (const l of this.#leaves) await l.fetch(); };
    (window.requestIdleCallback ?? setTimeout)(() => void idle().then(() => { document.documentElement.dataset["lit"] = "yes"; }));
  }

  // go sets the playhead of this page; the run is not touched.
  go(t: number, scroll: boolean): void {
    this.#at = Math.min(Math.max(t, 0), this.model.show.length);
    const y = this.#at * this.#sizes.scale;
    place(this.#line, { transform: `translateY(${y.toFixed(1)}px)` });
    this.#line.classList.toggle("under", y < 20);
    const time = this.#line.firstElementChild;
    if (time) time.textContent = clock(this.#at, 1);
    this.#tell();
    this.#pane.show(Math.round(this.#at * 20) / 20);
    if (scroll) this.#scrollTo(y);
  }

  #scrollTo(y: number): void {
    const top = this.#rule.getBoundingClientRect().top + scrollY + y;
    const want = Math.max(0, top - innerHeight * 0.42);
    if (calm()) {
      // Turn the page only when the line leaves it.
      if (top < scrollY + 120 || top > scrollY + innerHeight - 60) scrollTo({ top: Math.max(0, top - 160), behavior: "instant" });
    } else if (Math.abs(scrollY - want) > 0.5) scrollTo({ top: want, behavior: "instant" });
  }

  #words = "";
  #tell(): void {
    const show = this.model.show, i = this.model.cueAt(this.#at), now = show.cues[i], next = show.cues[i + 1];
    const bar = this.model.barAt(this.#at);
    const words = [clock(this.#at, 1), bar, now?.number, next ? countdown(next.start - this.#at) : ""].join("|");
    if (words === this.#words) return;
    this.#words = words;
    this.#rule.setAttribute("aria-valuenow", String(Math.round(this.#at)));
    this.#rule.setAttribute("aria-valuetext", `${clock(this.#at, 1)}${now ? `, cue ${now.number} ${this.model.look(now)?.name ?? ""}` : ", before the first cue"}`);
    this.#now.replaceChildren(
      h("p", { class: "when" }, h("time", {}, clock(this.#at, 1)), bar && h("span", {}, bar)),
      h("dl", {},
        h("dt", {}, "now"), h("dd", {}, now ? h("b", {}, now.number) : "", " ", now ? this.model.look(now)?.name ?? "" : "dark, before the first cue"),
        h("dt", {}, "next"), h("dd", {}, ...(next ? [h("b", {}, next.number), " ", this.model.look(next)?.name ?? "", " in ", countdown(next.start - this.#at)] : ["nothing more"]))));
    this.#mark();
  }

  #mark(): void {
    const now = this.model.show.cues[this.model.cueAt(this.#at)];
    for (const e of this.#body.querySelectorAll(".card.current")) e.classList.remove("current");
    if (now) this.#body.querySelector(`.card[data-cue="${CSS.escape(now.number)}"]`)?.classList.add("current");
  }

  #showReadings(v: Float32Array): void {
    const rows = readings(this.model, v).filter((r) => r.kind !== "performer" || r.uv > 0);
    const row = (r: (typeof rows)[number], value: string): HTMLElement => h("tr", {}, h("th", { scope: "row" }, r.name), h("td", {}, value));
    this.#values.replaceChildren(h("table", {}, h("caption", { class: "unseen" }, "Readings at the playhead"), h("tbody", {},
      ...rows.filter((r) => r.kind === "surface").slice(0, 4).map((r) => row(r, say(r.lux, "lx"))),
      ...rows.filter((r) => r.kind === "object" && r.luminance > 0).sort((a, b) => b.glow - a.glow).slice(0, 4).map((r) => row(r, "glow " + say(r.glow, "cd/m²"))),
      ...rows.filter((r) => r.kind === "performer").sort((a, b) => b.uv - a.uv).slice(0, 2).map((r) => row(r, `eyes ${say(r.uv, "W/m²")} UV-A`)))));
  }

  #click(e: MouseEvent): void {
    if ((e.target as Element).closest("a, button, .remark")) return;
    this.#leave();
    const card = (e.target as Element).closest<HTMLElement>(".card");
    const cue = card && this.model.show.cues.find((c) => c.number === card.dataset["cue"]);
    this.go(cue ? cue.complete : (e.clientY - this.#body.getBoundingClientRect().top) / this.#sizes.scale, false);
  }

  #key(e: KeyboardEvent): void {
    const cues = this.model.show.cues, i = this.model.cueAt(this.#at);
    const to = {
      ArrowDown: this.#at + (e.shiftKey ? 0.1 : 1), ArrowRight: this.#at + 0.1, ArrowUp: this.#at - (e.shiftKey ? 0.1 : 1), ArrowLeft: this.#at - 0.1,
      PageDown: this.#at + 10, PageUp: this.#at - 10, Home: 0, End: this.model.show.length,
      n: cues[i + 1]?.start, p: cues[Math.max(0, i - 1)]?.start,
    }[e.key];
    if (to === undefined || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    this.#leave();
    this.go(to, true);
  }

  readonly #button = h("button", { type: "button", hidden: true, click: () => { this.#following = true; this.#button.hidden = true; this.go(this.run.now, true); } }, "Follow the run");

  #followButton(): HTMLElement {
    return h("p", { class: "follow" }, this.#button);
  }

  #leave(): void {
    this.#following = false;
    this.#button.hidden = !this.run.here;
  }
}

// frontMatter is the title page: what the show is, and what is wrong with it
// as a whole.
function frontMatter(model: Model): HTMLElement {
  const s = model.show;
  // Notes about the whole show are for the Checks page: here they would push
  // the show down.
  const found = s.findings.filter((f) => !f.lacks);
  const whole = found.filter((f) => !timed(f, s.length) && f.severity !== "note"), most = 3;
  const count = (k: string): number => found.filter((f) => f.severity === k && !f.signed).length;
  return h("section", { class: "front", "aria-label": "Title page" },
    h("p", { class: "name" }, s.title),
    h("p", { class: "facts" }, [s.place, clock(s.length), plural(s.cues.length, "cue"), plural(s.looks.length, "look"), plural(s.units.length, "unit")].filter(Boolean).join(" · ")),
    s.room.guessed && h("p", { class: "facts" }, s.room.guessed),
    h("p", { class: "facts" }, h("a", { href: "/checks" }, found.length ? [count("stop") ? plural(count("stop"), "stop") : "no stop", plural(count("warn"), "warning"), plural(count("note"), "note")].join(", ") : "no findings", s.findings.length > found.length && "; not all was judged")),
    !s.sound.known && h("p", { class: "facts" }, "No soundtrack was listened to, so no moments are known."),
    whole.length > 0 && h("ul", { class: "whole" }, ...whole.slice(0, most).map((f) => h("li", {}, remark(f, false)))),
    onPaper(), colophon(model),
    whole.length > most && h("p", { class: "facts" }, h("a", { href: "/checks" }, `and ${whole.length - most} more about the whole show`)));
}

// onPaper makes what is printed: papers are laid out by the program, and not by the browser.
function onPaper(): HTMLElement {
  const said = h("span", { role: "status" });
  const make = async (name: string): Promise<void> => {
    said.textContent = ` The ${name} is being made…`;
    const file = name.replaceAll(" ", "-") + ".pdf";
    said.textContent = await save("/sheet/" + file, file).then(() => "", (e: unknown) => ` ${name}: ${e instanceof Error ? e.message : String(e)}`);
  };
  const names = ["prompt book", "cue sheet", "stopwatch sheet", "lighting plan", "patch list", "all papers"];
  return h("p", { class: "facts on-paper" }, "On paper, as PDF: ", ...names.flatMap((n, i) => [
    i ? ", " : "", h("button", { type: "button", "data-paper": n, click: () => void make(n === "all papers" ? "all" : n) }, n)]), said);
}

function heads(model: Model): HTMLElement {
  return h("div", { class: "heads", "aria-hidden": "true" },
    h("span", {}, "time"), h("span", {}, "sound"), h("span", { class: "cue-head" }, "cues"),
    h("span", { class: "light-heads" }, ...model.show.ribbons.map((r) => h("span", { class: r.dark ? "dark" : "" }, h("span", {}, r.dark ? r.name + " glow" : r.name)))),
    h("span", { class: "margin-head" }, "remarks"));
}

const colophon = (model: Model): HTMLElement => h("p", { class: "colophon" },
  `Light is computed, ${model.show.ribbons.some((r) => r.dark) ? "ultraviolet in the colour of what it makes glow" : "in its own colour"}; width is lightness. `,
  "It can show that a rule is not met, never that a room is safe: local codes and licensed people decide.");

void start((model, run) => { new Book(model, run); });
