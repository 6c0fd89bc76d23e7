// What can be done about a finding where it stands: see it, look for a change that helps and make it,
// or answer for it by name.
import type { Finding, Remark, Sought } from "./api";
import { h } from "./dom";
import { send } from "./key";
import { timed, type Model } from "./model";
import type { Pencil } from "./pencil";
import { Picture, viewsOf } from "./picture";
import { edit } from "./write";

// Typed is what somebody has begun to write, kept while the page goes over to another edition.
type Typed = { open: boolean; reason: string };

export class Remedies {
  readonly #typed = new Map<string, Typed>();
  #person = "";

  constructor(private model: Model, private readonly pencil: Pencil) {}

  renew(model: Model): void {
    this.model = model;
  }

  // of is what can be done about one finding.
  of(r: Remark): HTMLElement {
    const f = r.finding, body = h("div", { class: "remedy-body" });
    const acts = h("p", { class: "acts" },
      timed(f, this.model.show.length) && this.model.show.room.solved && this.#seen(f, body),
      place(this.model, f),
      r.mends && h("button", { type: "button", class: "mends", click: () => this.#seek(r, body) }, "Find a change that helps"),
      r.signs && h("button", { type: "button", class: "signs", click: () => this.#sign(r, body) }, "Answer for it"));
    const kept = this.#typed.get(r.mark);
    if (r.signs && kept?.open) this.#sign(r, body);
    return h("div", { class: "remedy" }, acts, body);
  }

  // seen shows the room at the finding's second, from the eye that it is about where there is one.
  #seen(f: Finding, body: HTMLElement): HTMLElement {
    const b = h("button", { type: "button", "aria-expanded": "false", click: () => {
      const had = body.querySelector(".sight");
      b.setAttribute("aria-expanded", String(!had));
      if (had) return had.remove();
      const views = viewsOf(this.model.show.room), eye = views.find((v) => f.place.includes(v.name)) ?? views[0];
      if (!eye) return;
      const p = new Picture(eye);
      p.canvas.setAttribute("aria-label", `the room at that second, from ${eye.name}`);
      body.prepend(h("figure", { class: "sight" }, p.stage, h("figcaption", {}, `from ${eye.name}`)));
      p.show("at=" + f.from.toFixed(3));
    } }, "See it");
    return b;
  }

  // seek looks for the change that helps and costs least; it tells which is tried, and can be ended.
  #seek(r: Remark, body: HTMLElement): void {
    const end = new AbortController(), said = h("span", { role: "status" }, "Changes are being tried, each with all checks…");
    const box = h("div", { class: "cure" }, h("p", {}, said, " ", h("button", { type: "button", click: () => end.abort() }, "Stop")));
    body.querySelector(".cure")?.remove();
    body.append(box);
    box.querySelector("button")?.focus();
    void sought(r.mark, end.signal, (s) => {
      if (s.try) said.textContent = `Change ${s.try} of at most ${s.of} is being tried, with all checks…`;
    }).then((s) => this.#found(r, box, s), (e: unknown) => box.replaceChildren(h("p", { class: "wrong", role: "alert" }, end.signal.aborted ? "Stopped: nothing was changed." : e instanceof Error ? e.message : String(e))));
  }

  #found(r: Remark, box: HTMLElement, s: Sought): void {
    const c = s.cure;
    if (!c) return box.replaceChildren(h("p", { role: "status" }, `${s.text}.`));
    const done = h("button", { type: "button", click: () => {
      done.disabled = true;
      void this.#does(box, () => edit("/api/cured", { mark: r.mark }), "The checks are done again.");
    } }, "Make this change");
    box.replaceChildren(
      h("p", { class: "what" }, h("b", {}, c.what), c.costs ? `. It costs ${c.costs}.` : "."),
      h("details", { class: "figures" }, h("summary", {}, `in ${c.file}`), h("pre", {}, c.lines)),
      h("p", { class: "acts" }, done, h("button", { type: "button", click: () => box.remove() }, "Leave it")));
    done.focus();
  }

  // sign asks who answers for it, and why.
  #sign(r: Remark, body: HTMLElement): void {
    if (body.querySelector(".signing")) return;
    const was = this.#typed.get(r.mark);
    const person = h("input", { name: "person", autocomplete: "name", value: this.#person });
    const reason = h("input", { name: "reason", value: was?.reason ?? "", placeholder: "tried it on Tuesday, with the ushers" });
    const said = h("p", { class: "wrong", role: "alert" });
    const keep = (open: boolean): void => {
      this.#person = person.value;
      this.#typed.set(r.mark, { open, reason: reason.value });
    };
    const form = h("form", { class: "signing", input: () => keep(true), submit: (e: Event) => {
      e.preventDefault();
      const missing = [person, reason].find((x) => !x.value.trim());
      if (missing) {
        said.textContent = "A signature has a name and a reason.";
        return missing.focus();
      }
      keep(false);
      void this.#does(form, () => edit("/api/sign", { mark: r.mark, person: person.value, reason: reason.value }), "The checks are done again.");
    } },
    h("p", {}, "This stays a finding. Your name says that you have looked at it, what you did about it, and that you answer for it as long as it gets no worse. It makes nothing safe and nothing lawful."),
    h("label", {}, "who answers", person), h("label", {}, "why it may be so", reason),
    said, h("p", { class: "acts" }, h("button", { type: "submit" }, "Sign"), h("button", { type: "button", click: () => { keep(false); form.remove(); } }, "Leave it")));
    body.append(form);
    keep(true);
    (person.value ? reason : person).focus();
  }

  async #does(box: HTMLElement, act: () => Promise<{ what: string }>, then: string): Promise<void> {
    try {
      const e = await act();
      this.pencil.say(e.what);
      box.replaceChildren(h("p", { role: "status" }, then));
      void this.pencil.look();
    } catch (e) {
      const text = e instanceof Error ? e.message : String(e);
      const said = box.querySelector<HTMLElement>(".wrong") ?? h("p", { class: "wrong", role: "alert" });
      said.textContent = text;
      if (!said.isConnected) box.append(said);
    }
  }
}

// sought has the program look for a cure, and tells of each change that it tries.
async function sought(mark: string, signal: AbortSignal, told: (s: Sought) => void): Promise<Sought> {
  const r = await send("/api/cure", { method: "POST", body: JSON.stringify({ mark }), signal });
  if (!r.ok || !r.body) throw new Error((await r.text()).trim());
  const reader = r.body.getReader(), text = new TextDecoder();
  let rest = "", last: Sought | undefined;
  for (;;) {
    const { value, done } = await reader.read();
    if (done) break;
    const lines = (rest + text.decode(value, { stream: true })).split("\n");
    rest = lines.pop() ?? "";
    for (const line of lines) told(last = JSON.parse(line) as Sought);
  }
  if (!last || last.try) throw new Error("The program went away while it looked: nothing was changed.");
  return last;
}

// place is a way to where the finding is: the cue, the look, the unit, or the second in the book.
function place(model: Model, f: Finding): HTMLElement | false {
  const cue = f.cues?.[0], look = /^look (.*)$/.exec(f.place)?.[1];
  const i = look ? model.show.looks.findIndex((l) => l.name === look) : -1;
  if (i >= 0) return h("a", { class: "to", href: `/looks#look-${i}` }, "to the look");
  if (cue && model.cues.some((c) => c.number === cue)) return h("a", { class: "to", href: `/?cue=${encodeURIComponent(cue)}` }, `to cue ${cue}`);
  if (f.units?.length) return h("a", { class: "to", href: "/rig" }, "to the rig");
  if (timed(f, model.show.length)) return h("a", { class: "to", href: `/?at=${f.from.toFixed(2)}` }, "to that second");
  return false;
}
