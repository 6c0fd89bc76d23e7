// The eight questions that lead to a show, one under another as the leaves of a book; one is open.
import type { Answers, Asking, Guess } from "./api";
import { act, asking, back, Overtaken, put, stop } from "./ask";
import { progress, type Form } from "./beginask";
import { glow, places, units } from "./beginlamps";
import { people, room } from "./beginroom";
import { site, sound, what } from "./beginwhat";
import { plural, sentence } from "./clock";
import { h, main, type Child } from "./dom";
import { enter, Unanswered } from "./key";

type Question = { words: string; form: (f: Form) => HTMLElement; says: (a: Answers) => string; of: keyof Answers; work?: string };

const questions: readonly Question[] = [
  { words: "What happens?", form: what, of: "what", says: (a) => a.what.title + (a.what.evening ? ", an evening" : "") },
  { words: "Which sound?", form: sound, of: "sound", work: "sound", says: (a) => a.sound.name || "none: each look waits for go" },
  { words: "What is the room like?", form: room, of: "room", says: (a) => `${+a.room.width.toFixed(2)} m by ${+a.room.depth.toFixed(2)} m, ${+a.room.height.toFixed(2)} m high` },
  { words: "Who sits, plays and walks where?", form: people, of: "people", says: (a) => [plural(a.people.seats.length, "block of seats", "blocks of seats"), plural(a.people.players.length, "player"), plural(a.people.ways.length, "way")].join(", ") },
  { words: "Which lamps are there?", form: units, of: "units", says: (a) => a.units.groups.map((g) => `${g.count} ${g.type}`).join(", ") || "none yet" },
  { words: "Where do they stand or hang?", form: places, of: "places", work: "places", says: (a) => `${a.places.units.filter((u) => u.placed).length} of ${plural(a.places.units.length, "lamp")} placed` },
  { words: "What must glow?", form: glow, of: "glow", says: (a) => a.glow.things.map((t) => t.name).join(", ") || "nothing" },
  { words: "What is on site?", form: site, of: "site", says: (a) => [a.site.out ? `${a.site.out} ${a.site.to}` : "no way out yet", a.site.timecode && "timecode", a.site.desk && "a desk"].filter(Boolean).join(", ") },
];

class Page {
  #open = 0;
  #built = ""; // what the open form was made of
  #busy: (() => boolean) | undefined;
  #queue: Promise<void> = Promise.resolve();
  #waits = 0; // answers that are to be written
  #down = false; // a pointer is, on a question
  readonly #told = h("p", { class: "told", role: "alert" });
  readonly #list = h("div", { class: "leaves" });
  readonly #end = h("section", { class: "sheet end" });
  readonly #pencil = h("p", { class: "pencil" });
  readonly #leaves: { button: HTMLButtonElement; said: HTMLElement; mark: HTMLElement; body: HTMLElement }[] = [];

  constructor(private now: Asking) {
    questions.forEach((q, i) => {
      const said = h("small", {}), mark = h("i", { class: "mark" }), body = h("div", { class: "body", id: `body-${i}`, hidden: true });
      const button = h("button", { type: "button", "aria-expanded": "false", "aria-controls": `body-${i}`, "data-question": String(i), click: () => this.show(this.#open === i ? -1 : i) }, h("span", { class: "n" }, String(i + 1)), h("span", { class: "q" }, q.words), said, mark);
      this.#leaves.push({ button, said, mark, body });
      this.#list.append(h("section", { class: "leafq" }, h("h2", {}, button), body));
    });
    main().append(h("div", { class: "begins" }, h("h1", { class: "unseen" }, "A new show"), this.#told, this.#pencil, this.#list, this.#end));
    const first = now.answers.said.findIndex((s, i) => i > 0 && !s);
    this.show(first < 0 ? 0 : first);
    // A button that is made anew while it is held down would not be pressed.
    this.#list.addEventListener("pointerdown", () => { this.#down = true; });
    for (const over of ["pointerup", "pointercancel"]) addEventListener(over, () => setTimeout(() => { this.#down = false; this.draw(); }));
    void this.#watch();
  }

  // show opens a question; -1 closes all.
  show(i: number): void {
    this.#open = i;
    this.#built = "";
    this.#told.textContent = "";
    this.draw();
    if (i >= 0) this.#leaves[i]?.button.scrollIntoView({ block: "nearest" });
  }

  draw(): void {
    const a = this.now.answers;
    document.title = `${a.what.title} · a new show`;
    questions.forEach((q, i) => {
      const l = this.#leaves[i], guessed = a.guesses.some((g) => g.question === i);
      if (!l) return;
      l.said.textContent = q.says(a);
      l.mark.textContent = !a.said[i] ? (i === 0 ? "" : "not said") : guessed ? "part of it guessed" : "said";
      l.mark.className = `mark${a.said[i] ? "" : " open"}`;
      l.button.setAttribute("aria-expanded", String(this.#open === i));
      l.body.hidden = this.#open !== i;
      if (this.#open !== i) l.body.replaceChildren();
    });
    this.#form();
    this.#pen();
    this.#last();
  }

  // form makes the form that is open, unless it is as it was or somebody is in the middle of it.
  #form(): void {
    const q = questions[this.#open], l = this.#leaves[this.#open];
    if (!q || !l) return;
    const made = JSON.stringify([this.now.answers[q.of], this.now.answers.room, this.now.kinds.length, this.now.answers.people, this.now.works.filter((w) => w.kind === q.work).map((w) => ({ ...w, took: 0 }))]);
    const held = document.activeElement as HTMLElement | null, dirty = held instanceof HTMLInputElement || held instanceof HTMLTextAreaElement ? held.value !== held.defaultValue && !["checkbox", "radio", "file", "search"].includes(held.type) : false;
    if (made === this.#built || this.#built && (this.#waits > 0 || this.#down) || this.#built && (this.#busy?.() || dirty && l.body.contains(held))) return;
    this.#built = made;
    this.#busy = undefined;
    const at = l.body.contains(held) ? held?.dataset["at"] ?? held?.dataset["spot"] : undefined;
    const caret = held instanceof HTMLInputElement && held.type === "search" ? held.selectionStart : null;
    l.body.replaceChildren(q.form(this.#ask()), this.#turn());
    if (at === undefined) return;
    const again = l.body.querySelector<HTMLElement>(`[data-at="${CSS.escape(at)}"], [data-spot="${CSS.escape(at)}"]`) ?? l.body.querySelector<HTMLElement>("[data-at]");
    again?.focus({ preventScroll: true });
    if (caret !== null && again instanceof HTMLInputElement) again.setSelectionRange(caret, caret);
  }

  #ask(): Form {
    // What this form was made of is what it says that it saw, until it has written itself.
    const i = this.#open, seen = { mark: this.now.answers.marks[i] ?? "" };
    return {
      asking: this.now, answers: this.now.answers,
      save: (part) => this.#save(i, seen, part),
      say: (words) => this.#say(words),
      run: (work) => void this.#run(work),
      take: (next) => { this.now = next; this.#built = ""; this.draw(); },
      work: (kind) => this.now.works.find((w) => w.kind === kind),
      moving: (is) => { const was = this.#busy; this.#busy = () => is() || was?.() === true; },
    };
  }

  // turn is what leads on.
  #turn(): HTMLElement {
    const i = this.#open, last = i === questions.length - 1;
    return h("p", { class: "row turn" }, h("button", { type: "button", class: "chief", "data-at": "next", click: () => this.#next(last ? -1 : i + 1) }, last ? "To the end" : `Next: ${questions[i + 1]?.words ?? ""}`),
      !this.now.answers.said[i] && !last && h("small", {}, "leave it as it is: what is not said is guessed, and marked so"));
  }

  #next(i: number): void {
    this.show(i);
    const to = i < 0 ? this.#end.querySelector<HTMLElement>("button") : this.#leaves[i]?.button;
    to?.focus();
    (i < 0 ? this.#end : to)?.scrollIntoView({ block: i < 0 ? "nearest" : "start" });
  }

  #say(words: string): void {
    this.#told.textContent = sentence(words);
    if (words) this.#told.scrollIntoView({ block: "nearest" });
  }

  async #run(work: () => Promise<unknown>): Promise<void> {
    this.#say("");
    try {
      await work();
    } catch (e) {
      this.#say(e instanceof Error ? e.message : String(e));
    }
    await this.#anew();
  }

  // save writes an answer, one after another. What the form goes on with has then the names that were
  // given.
  #save(i: number, seen: { mark: string }, part: Partial<Answers>): void {
    const written = structuredClone(part);
    this.#waiting(1);
    this.#queue = this.#queue.then(async () => {
      identify(written, this.now.answers);
      try {
        this.now = await put(this.now.dir, i, seen.mark, written);
        seen.mark = this.now.answers.marks[i] ?? "";
        identify(part, this.now.answers);
        this.#say("");
      } catch (e) {
        this.#say(e instanceof Error ? e.message : String(e));
        if (e instanceof Overtaken) this.#built = ""; // what stands there now is shown
        const next = await asking(this.now.dir).catch(() => undefined);
        if (next && e instanceof Overtaken) this.now = next;
        const held = document.activeElement;
        if (held instanceof HTMLInputElement) held.setAttribute("aria-invalid", "true");
      }
      this.#waiting(-1);
      const held = document.activeElement;
      if (held instanceof HTMLInputElement && held.type === "text") held.defaultValue = held.value;
      this.draw();
    }).catch((e: unknown) => this.#say(String(e))); // or nothing more would be written
  }

  #waiting(more: number): void {
    this.#waits += more;
    document.documentElement.dataset["waits"] = String(this.#waits);
  }

  // anew asks how all stands, behind what is to be written.
  #anew(): Promise<void> {
    return this.#queue = this.#queue.then(async () => {
      try {
        this.now = await asking(this.now.dir);
        this.draw();
      } catch (e) {
        this.#say(e instanceof Unanswered ? e.text : "The program did not answer: is lampblack still running?");
      }
    });
  }

  async #watch(): Promise<void> {
    for (;;) {
      const goes = this.now.works.some((w) => !w.done);
      await new Promise((done) => setTimeout(done, goes ? 400 : 2500));
      const was = this.now.works.find((w) => w.kind === "finish");
      await this.#anew();
      const is = this.now.works.find((w) => w.kind === "finish");
      if (is?.done && !is.failed && was && !was.done) return void (location.href = "/");
    }
  }

  #pen(): void {
    const turn = (again: boolean): void => void this.#run(async () => { this.now = await back(this.now.dir, again); this.#built = ""; this.draw(); });
    const { undo, redo } = this.now, made = `${undo}\n${redo}`;
    if (this.#pencil.dataset["of"] === made) return;
    this.#pencil.dataset["of"] = made;
    this.#pencil.replaceChildren(h("button", { type: "button", disabled: !undo, title: undo, click: () => turn(false) }, "Take back"), h("button", { type: "button", disabled: !redo, title: redo, click: () => turn(true) }, "Do again"),
      h("span", {}, undo ? `written: ${undo}` : "every answer is written at once"));
  }

  // last is the end: what was guessed, and the way into the book.
  #last(): void {
    const a = this.now.answers, w = this.now.works.find((one) => one.kind === "finish"), goes = w !== undefined && !w.done;
    const made = JSON.stringify([a.guesses, a.faults, a.sound.name, a.drafted, w && { ...w, took: 0 }, a.units.groups.length]);
    if (this.#end.dataset["of"] === made) return;
    const held = this.#end.contains(document.activeElement);
    this.#end.dataset["of"] = made;
    const does = a.sound.name ? a.drafted ? "Draft the cues again, check, and open the book" : "Draft the cues, check, and open the book" : "Check it, and open the book";
    const line = (g: Guess): HTMLElement => h("li", {}, h("button", { type: "button", class: "to", click: () => this.#next(g.question) }, String(g.question + 1)), h("b", {}, g.what), ": ", g.text, g.line > 0 && h("small", {}, ` ${g.file}, line ${g.line}`));
    const parts: Child[] = [h("h2", {}, "The book"),
      a.faults.length > 0 && h("div", { class: "work wrong" }, h("p", {}, "This is put right first:"), h("ul", {}, ...a.faults.slice(0, 5).map((t) => h("li", {}, sentence(t))))),
      goes ? progress(w, () => void this.#run(() => stop(this.now.dir, "finish"))) : h("p", { class: "row" }, h("button", { type: "button", class: "chief", "data-at": "finish", click: () => void this.#run(() => act("finish", this.now.dir)) }, does)),
      w?.failed && h("p", { class: "work wrong", role: "alert" }, sentence(w.failed)),
      h("h3", {}, a.guesses.length > 0 ? "What was guessed" : "Nothing was guessed"),
      a.guesses.length > 0 && h("p", { class: "says" }, "Nobody said these. Each stands in the files with the mark \"guessed\", or is taken by the program as it goes; each that you say makes more of the show computed and less of it hoped."),
      h("ul", { class: "guesses" }, ...a.guesses.map(line)), h("p", { class: "says" }, `The files are in ${this.now.dir}`)];
    this.#end.replaceChildren(...parts.filter((c): c is Node | string => Boolean(c)));
    if (held) this.#end.querySelector<HTMLElement>("button")?.focus({ preventScroll: true });
  }
}

type Item = { id?: string; name?: string; type?: string; mode?: string; system?: string };

// identify gives what is new in a part that was written the names by which the files now have it.
function identify(part: Partial<Answers>, now: Answers): void {
  const like = (a: Item, b: Item): boolean => a.name !== undefined ? a.name === b.name : a.type === b.type && a.mode === b.mode && a.system === b.system;
  for (const [of, value] of Object.entries(part)) {
    for (const [key, list] of Object.entries(value as object)) {
      const is = (now[of as keyof Answers] as unknown as Record<string, unknown>)[key];
      if (!Array.isArray(list) || !Array.isArray(is)) continue;
      for (const one of list as Item[]) if (one.id === "") one.id = (is as Item[]).find((b) => like(one, b))?.id ?? "";
    }
  }
}

async function start(): Promise<void> {
  try {
    addEventListener("hashchange", () => { if (/^#key=/.test(location.hash)) location.reload(); });
    await enter();
    new Page(await asking(new URLSearchParams(location.search).get("dir") ?? ""));
  } catch (e) {
    main().append(h("p", { class: "failure", role: "alert" }, e instanceof Unanswered ? sentence(e.text) : String(e), " ", h("a", { href: "/begin" }, "All shows")));
  }
  document.getElementById("waits")?.remove();
  document.documentElement.dataset["ready"] = "yes";
}

void start();
