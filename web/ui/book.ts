// The book: time runs down the page.
import type { Reading } from "./api";
import { carries } from "./carry";
import { clock, countdown, reading } from "./clock";
import { heads, sizes } from "./columns";
import { Light } from "./data";
import { calm, h, main, place } from "./dom";
import { colophon, frontMatter } from "./front";
import { Leaf, type Sizes } from "./leaf";
import { Making } from "./making";
import { remarkable, type Model } from "./model";
import { Pace } from "./pace";
import { Pane } from "./pane";
import { Pencil } from "./pencil";
import { Proposed } from "./proposed";
import { Rehearsal } from "./rehearsal";
import type { Run } from "./run";
import { Slip } from "./slip";
import { Spans } from "./spans";
import { Zoom } from "./zoom";
import { start } from "./start";
import { turning } from "./turning";

// near is how far from the window leaves are filled, px.
const near = 900;

// mostKept is how many leaves a show may have that are all kept once they were read.
const mostKept = 12;

// followed is how often the picture is asked for while the page is scrolled, and rest how long
// nothing has moved when it is drawn whole, ms.
const followed = 300, rest = 200;

class Book {
  readonly #leaves: Leaf[] = [];
  #light: Light;
  readonly #pace = new Pace();
  readonly #body = h("div", { class: "leaves" });
  readonly #line = h("div", { class: "thread" }, h("time", {}));
  readonly #rule: HTMLElement;
  readonly #pane: Pane;
  readonly #now = h("div", { class: "now", "aria-live": "off" });
  readonly #values = h("div", { class: "values" });
  #sizes: Sizes;
  #at = 0;
  #following = true;

  readonly #pencil: Pencil;
  readonly #slip: Slip;
  readonly #sound: Rehearsal;
  readonly #making: Making;
  readonly #proposed: Proposed;
  #front: HTMLElement;
  #turning: HTMLElement;

  constructor(private model: Model, private readonly run: Run) {
    this.#sizes = sizes(model);
    this.#light = new Light(this.#sizes.scale);
    this.#pencil = new Pencil(() => this.model);
    this.#slip = new Slip(model, this.#pencil);
    this.#slip.onGo = (t) => this.go(t, true);
    this.#slip.onTry = (changes) => {
      this.#pane.try(changes, !!changes);
      if (!changes) this.#show(false);
    };
    this.#sound = new Rehearsal(model, this.#pencil, () => this.#at, (t) => { this.#leave(); this.go(t, true); });
    this.#sound.prefer = () => this.model.cues.find((c) => c.number === this.#slip.number);
    this.#making = new Making(model, this.#pencil, this.#slip, this.#sound);
    this.#proposed = new Proposed(model, this.#pencil, this.#sound, {
      go: (c) => { this.#leave(); this.go(c.complete, true, c.moment); },
      open: (number) => this.#making.open(number, false),
    });
    this.#front = frontMatter(model);
    this.#turning = this.#turns();
    this.#pane = new Pane(model);
    this.#pane.onReadings = (list) => this.#showReadings(list);
    this.#rule = h("div", {
      class: "rule", role: "slider", tabindex: 0, "aria-orientation": "vertical", "aria-label": "Second that the room is shown at",
      "aria-valuemin": 0, "aria-valuemax": Math.round(model.show.length), keydown: (e) => this.#key(e as KeyboardEvent),
    });
    this.#rule.append(this.#line);
    this.#body.addEventListener("click", (e) => this.#click(e));
    carries(this.#body, this.#making.carrier({
      scale: () => this.#sizes.scale,
      over: (t, changes) => {
        this.#leave();
        this.#pane.try(changes, false);
        this.go(t, false);
      },
      goes: () => {
        this.#pane.try(undefined, false);
        this.go(this.#at, false);
      },
    }));
    this.#body.addEventListener("whole", () => this.#mark());
    // The first picture takes all that the computer has: what is read comes before it.
    const shown = new Promise((done) => { this.#body.addEventListener("whole", done, { once: true }); setTimeout(done, 3000); });
    void shown.then(() => { this.#opened = true; this.#show(false); });
    main().append(h("div", { class: "book" },
      h("div", { class: "text" }, this.#front, heads(model), h("div", { class: "run-of-leaves" }, this.#body, this.#rule), colophon(model)),
      h("aside", { class: "beside", "aria-label": "The room at the playhead" }, this.#pane.element, model.show.writes && this.#pencil.element, this.#sound.element, this.#proposed.element, this.#slip.element, this.#now, this.#here(), this.#zoom.element, this.#followButton(), this.#turning, this.#values)));
    this.#lay();
    this.#listen();
    this.go(model.cues[0]?.complete ?? 0, false);
    this.#arrive();
  }

  // arrive goes to the cue or the second that a link from another page names.
  #arrive(): void {
    const asked = new URLSearchParams(location.search), cue = this.model.cues.find((c) => c.number === asked.get("cue")), at = Number(asked.get("at"));
    if (!cue && !(at > 0)) return;
    this.#leave();
    requestAnimationFrame(() => this.go(cue?.complete ?? at, true, cue?.moment ?? at));
    if (cue) this.#making.open(cue.number, true);
  }

  #turns(): HTMLElement {
    return turning(this.model, (c) => { this.#leave(); this.go(c.complete, true, c.moment); });
  }

  // renew goes over to another edition of the show without a jump; false where another room or
  // other ribbons make that a page of its own.
  renew(model: Model): boolean {
    const was = this.model.show, now = model.show;
    if (JSON.stringify([was.room, was.ribbons, was.writes]) !== JSON.stringify([now.room, now.ribbons, now.writes])) return false;
    const longer = Math.ceil(was.length) !== Math.ceil(now.length);
    this.model = model;
    this.#light = new Light(this.#sizes.scale);
    this.#pane.renew(model);
    this.model.spans.watch(() => this.#tell());
    const front = frontMatter(model), turns = this.#turns();
    if (this.#turning instanceof HTMLDetailsElement && turns instanceof HTMLDetailsElement) turns.open = this.#turning.open;
    this.#front.replaceWith(front);
    this.#turning.replaceWith(turns);
    [this.#front, this.#turning] = [front, turns];
    if (longer) this.#lay();
    else for (const l of this.#leaves) l.renew(model, this.#light, () => this.#far(l));
    this.#words = "";
    this.go(this.#at, false);
    this.#making.renew(model);
    this.#proposed.renew(model);
    void this.#pencil.look();
    return true;
  }

  // lay sets the columns and makes the leaves, empty.
  #lay(): void {
    const s = this.#sizes, n = this.model.show.ribbons.length, root = document.documentElement.style;
    const lights = Math.max(0, n * (s.ribbon + s.ribbonGap) - s.ribbonGap);
    for (const [name, v] of Object.entries({ clock: s.clock, sound: s.sound, gutter: s.gutter, marks: s.marks, light: lights, ribbon: s.ribbon + s.ribbonGap })) {
      root.setProperty("--" + name, v + "px");
    }
    document.documentElement.classList.toggle("merged", s.merged);
    for (const l of this.#leaves) l.drop();
    const { length } = this.model.show, count = Math.max(1, Math.ceil(length / s.leaf));
    this.#leaves.splice(0, Infinity, ...Array.from({ length: count }, (_, i) => new Leaf(this.model, this.#light, this.#pace, s, i)));
    place(this.#body, { height: `${Math.max(length, 1) * s.scale}px` });
    this.#measure();
  }

  // turned has the leaves near the window in the document, in their order, and no others, so that
  // hours scroll like a minute. A short show keeps what it had.
  #turned(): void {
    const { scale, leaf } = this.#sizes, at = (px: number): number => Math.max(0, Math.floor((scrollY - this.#top + px) / scale / leaf));
    const first = at(-near), last = at(innerHeight + near);
    this.#leaves.forEach((l, i) => {
      if (i < first || i > last) {
        if (l.wanted && this.#leaves.length > mostKept) l.drop();
      } else if (!l.wanted) {
        const after = this.#leaves.find((x, k) => k > i && x.wanted);
        this.#body.insertBefore(l.element, after?.element ?? null);
        l.fill(() => this.#far(l));
      }
    });
  }

  #top = 0; // of the leaves, px of the whole page

  #measure(): void {
    this.#top = this.#body.getBoundingClientRect().top + scrollY;
    this.#turned();
  }

  // far is how far a leaf is from the middle of the window, px.
  #far(l: Leaf): number {
    return Math.abs(this.#top + ((l.from + l.to) / 2) * this.#sizes.scale - scrollY - innerHeight / 2);
  }

  #listen(): void {
    this.run.watch(() => {
      this.#button.hidden = !this.run.here || this.#following;
      if (this.run.here && this.#following) this.go(this.run.now, true);
    });
    this.model.spans.watch(() => this.#tell());
    let width = innerWidth;
    addEventListener("resize", () => {
      if (innerWidth === width) return;
      width = innerWidth;
      this.#resize();
      this.go(this.#at, false);
    });
    addEventListener("keydown", (e) => this.#hearing(e));
    for (const name of ["wheel", "touchmove"]) addEventListener(name, () => this.#leave(), { passive: true });
    addEventListener("scroll", () => this.#scrolled(), { passive: true });
    new ResizeObserver(() => this.#measure()).observe(document.body);
  }

  // resize lays the leaves anew, as wide and as near as they are to be now.
  #resize(): void {
    this.#sizes = sizes(this.model, this.#zoom.at);
    this.#light = new Light(this.#sizes.scale);
    this.#lay();
  }

  readonly #zoom = new Zoom(() => {
    this.#leave();
    this.#resize();
    this.go(this.#at, true);
  });

  #opened = false;

  #show(quick: boolean): void {
    if (this.#opened) this.#pane.show(Math.round(this.#at * 20) / 20, quick);
  }

  // go sets the playhead of this page; the run is not touched. With seen, that second is brought
  // into the window and not the playhead's.
  go(t: number, scroll: boolean, seen = t): void {
    this.#set(t);
    this.#tell();
    this.#show(false);
    if (scroll) this.#scrollTo(Math.min(seen, this.model.show.length) * this.#sizes.scale);
  }

  #set(t: number): void {
    this.#at = Math.min(Math.max(t, 0), this.model.show.length);
    const y = this.#at * this.#sizes.scale;
    this.#held = undefined;
    place(this.#line, { position: "", left: "", width: "", transform: `translateY(${y.toFixed(1)}px)` });
    this.#line.classList.toggle("under", y < 20);
  }

  #scrollTo(y: number): void {
    const top = this.#rule.getBoundingClientRect().top + scrollY + y;
    const want = Math.max(0, top - innerHeight * 0.42);
    if (calm()) {
      // Turn the page only when the line leaves it.
      if (top < scrollY + 120 || top > scrollY + innerHeight - 60) this.#turn(Math.max(0, top - 160));
    } else if (Math.abs(scrollY - want) > 0.5) this.#turn(want);
  }

  #turn(top: number): void {
    scrollTo({ top, behavior: "instant" });
    this.#was = scrollY;
    this.#turned();
  }

  #was = scrollY; // where the page stood when its playhead was set
  #asked = 0; // when the picture was asked for
  #still: ReturnType<typeof setTimeout> | undefined;

  // scrolled has the playhead keep its place in the window, so that the picture is that of what
  // is read. While the page moves the line is fixed there, and nothing of it is moved. Over the
  // title page it stays where it was.
  #scrolled(): void {
    this.#turned();
    const by = scrollY - this.#was;
    if (!by || this.#following && this.run.here) return;
    const top = this.#top - scrollY, scale = this.#sizes.scale;
    const y = this.#held ?? this.#top - this.#was + this.#at * scale;
    this.#was = scrollY;
    if (top > innerHeight * 0.42 && by > 0) return;
    const kept = y > 0.12 * innerHeight && y < 0.8 * innerHeight ? y : 0.42 * innerHeight, t = (kept - top) / scale;
    const inside = t >= 0 && t <= this.model.show.length;
    if (inside && this.#held !== kept) this.#hold(kept);
    this.#at = Math.min(Math.max(t, 0), this.model.show.length);
    if (!inside) this.#set(t);
    const now = performance.now();
    clearTimeout(this.#still);
    this.#still = setTimeout(() => this.go(this.#at, false), rest);
    if (now - this.#asked < followed) return;
    this.#asked = now;
    this.#tell();
    this.#show(true);
  }

  #held: number | undefined; // where in the window the line is fixed

  #hold(y: number): void {
    this.#held = y;
    const { left, width } = this.#rule.getBoundingClientRect();
    place(this.#line, { position: "fixed", left: `${left - 9}px`, width: `${width + 9}px`, transform: `translateY(${y.toFixed(1)}px)` });
  }

  #words = "";
  #tell(): void {
    const i = this.model.cueAt(this.#at), now = this.model.cues[i], next = this.model.cues[i + 1];
    const bar = this.model.barAt(this.#at);
    const checked = this.#found(), words = [clock(this.#at, 1), bar, checked, now?.number, next ? countdown(next.start - this.#at) : ""].join("|");
    if (words === this.#words) return;
    this.#words = words;
    const time = this.#line.firstElementChild;
    if (time) time.textContent = clock(this.#at, 1);
    this.#rule.setAttribute("aria-valuenow", String(Math.round(this.#at)));
    this.#rule.setAttribute("aria-valuetext", `${clock(this.#at, 1)}${now ? `, cue ${now.number} ${this.model.look(now)?.name ?? ""}` : ", before the first cue"}`);
    this.#now.replaceChildren(
      h("p", { class: "when" }, h("time", {}, clock(this.#at, 1)), bar && h("span", {}, bar)),
      h("dl", {},
        h("dt", {}, "now"), h("dd", {}, now ? h("b", {}, now.number) : "", " ", now ? this.model.look(now)?.name ?? "" : "dark, before the first cue"),
        h("dt", {}, "next"), h("dd", {}, ...(next ? [h("b", {}, next.number), " ", this.model.look(next)?.name ?? "", " in ", countdown(next.start - this.#at)] : ["nothing more"])),
        ...(checked ? [h("dt", {}, "checks"), h("dd", {}, h("a", { href: "/checks" }, checked))] : [])));
    this.#mark();
  }

  #mark(): void {
    const now = this.model.cues[this.model.cueAt(this.#at)];
    for (const e of this.#body.querySelectorAll(".card.current")) if (e.getAttribute("data-cue") !== now?.number) e.classList.remove("current");
    if (now) this.#leaves[Math.floor(Math.max(0, now.moment) / this.#sizes.leaf)]?.element.querySelector(`.card[data-cue="${CSS.escape(now.number)}"]`)?.classList.add("current");
  }

  // here makes a cue at the playhead: on the blow that was pressed, where one was.
  #here(): HTMLElement | false {
    return this.model.show.writes && h("p", { class: "here" }, h("button", { type: "button", "aria-keyshortcuts": "c", click: () => void this.#making.add(this.#at, false) }, "A new cue here", h("kbd", {}, "c")));
  }

  // found tells what the checks say of the second.
  #found(): string {
    if (this.model.show.stale) return "being done again";
    const here = this.model.spans.here(Spans.of(this.#at))?.findings.filter((f) => remarkable(f) && f.from <= this.#at && f.to >= this.#at);
    return !here ? "" : here.length ? `${here.length} ${here.length > 1 ? "remarks" : "remark"} at this second` : "nothing to remark at this second";
  }

  #showReadings(list: readonly Reading[]): void {
    const rows = list.filter((r) => r.kind !== "performer" || r.uv > 0);
    const row = (r: Reading, value: string): HTMLElement => h("tr", {}, h("th", { scope: "row" }, r.name), h("td", {}, value));
    this.#values.replaceChildren(h("table", {}, h("caption", { class: "unseen" }, "Readings at the playhead"), h("tbody", {},
      ...rows.filter((r) => r.kind === "surface").slice(0, 4).map((r) => row(r, reading(r.lux, "lx", 0.001))),
      ...rows.filter((r) => r.kind === "object" && r.luminance > 0).sort((a, b) => b.glow - a.glow).slice(0, 4).map((r) => row(r, "glow " + reading(r.glow, "cd/m²", 1e-5))),
      ...rows.filter((r) => r.kind === "performer").sort((a, b) => b.uv - a.uv).slice(0, 2).map((r) => row(r, `eyes ${reading(r.uv, "W/m²", 1e-6)} UV-A`)))));
  }

  #click(e: MouseEvent): void {
    const on = e.target as Element;
    if (on.closest("a, button, .remark")) return;
    this.#leave();
    const number = on.closest<HTMLElement>("[data-cue]")?.dataset["cue"], moment = on.closest<SVGElement>(".moment")?.dataset["at"];
    const cue = number !== undefined && this.model.cues.find((c) => c.number === number);
    if (cue) this.#making.open(cue.number, false);
    this.go(cue ? cue.complete : moment ? Number(moment) : (e.clientY - this.#body.getBoundingClientRect().top) / this.#sizes.scale, false);
  }

  #key(e: KeyboardEvent): void {
    const cues = this.model.cues, i = this.model.cueAt(this.#at);
    const to = {
      ArrowDown: this.#at + (e.shiftKey ? 0.1 : 1), ArrowRight: this.#at + 0.1, ArrowUp: this.#at - (e.shiftKey ? 0.1 : 1), ArrowLeft: this.#at - 0.1,
      PageDown: this.#at + 10, PageUp: this.#at - 10, Home: 0, End: this.model.show.length,
      n: cues[i + 1]?.start, p: cues[Math.max(0, i - 1)]?.start,
    }[e.key];
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    if (this.#zoom.key(e.key)) return e.preventDefault();
    if (e.key === "c" || e.key === "C") void this.#making.add(this.#at, e.key === "C");
    if (e.key === "Enter") this.#making.open(cues[i]?.number ?? "", true);
    if (to === undefined) return;
    e.preventDefault();
    this.#leave();
    this.go(to, true);
  }

  // hearing takes the keys of the sound, wherever nothing else takes them: space taps while it plays and
  // plays where it does not, Escape stops it, r plays round the cue.
  #hearing(e: KeyboardEvent): void {
    const on = e.target instanceof Element ? e.target : document.body;
    if (!this.model.show.plays || e.ctrlKey || e.metaKey || e.altKey || on.closest("input, select, textarea, button, a, summary, canvas")) return;
    if (e.key === " ") void (this.#sound.plays ? this.#sound.tap(e.shiftKey) : this.#sound.play(this.#at));
    else if (e.key === "Escape" && this.#sound.plays) this.#sound.stop();
    else if (e.key === "r") void this.#sound.round();
    else return;
    e.preventDefault();
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

void start((model, run) => {
  const book = new Book(model, run);
  return (next) => book.renew(next);
});
