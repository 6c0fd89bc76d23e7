// The checks page: first what must be done before anyone comes, then what is
// good to know; findings that differ in their place alone are told as one.
import type { Checks, Finding, Remark } from "./api";
import { plural } from "./clock";
import { answer } from "./data";
import { h, main } from "./dom";
import { measure, remark, when, words } from "./margin";
import { begun, most } from "./more";
import { grave, type Model } from "./model";
import { Pencil } from "./pencil";
import { plain } from "./plain";
import { Remedies } from "./remedy";
import { start, type Renews } from "./start";

// What could not be judged, since nobody said enough: one entry, at the end.
const unjudged = "not-judged";

const seenTo = (f: Finding): boolean => f.severity !== "note" && !!f.signed;

const chapters: readonly (readonly [string, (f: Finding) => boolean])[] = [
  ["Do this before anyone comes", (f) => f.severity !== "note" && !f.signed],
  ["Answered for by name", seenTo],
  ["Know this", (f) => f.severity === "note" && f.id !== unjudged],
  ["Not judged", (f) => f.id === unjudged],
];

class Page {
  readonly #lede = h("p", { class: "lede" });
  readonly #stale = h("p", { class: "stale", role: "status" });
  readonly #body = h("div");
  readonly #pencil: Pencil;
  readonly #remedies: Remedies;
  #open = most; // entries that stand before "more"
  #said = ""; // what stands on the page

  constructor(private model: Model) {
    this.#pencil = new Pencil(() => this.model);
    this.#remedies = new Remedies(model, this.#pencil);
    main().append(h("div", { class: "chapter" }, h("h2", {}, "Checks"), this.#lede, model.show.writes && this.#pencil.element, this.#stale, this.#body));
  }

  async fill(): Promise<void> {
    const c = await answer<Checks>("/api/checks");
    this.#stale.textContent = c.stale ? "The show changed: it is being checked again, and what stands here is from before." : "";
    const all = [...c.entries].sort((a, b) => grave(a.finding) - grave(b.finding));
    const said = JSON.stringify(all);
    if (said === this.#said) return; // what is open stays open
    this.#said = said;
    const open = (kind: string): number => all.filter(({ finding: f }) => f.severity === kind && f.id !== unjudged && !f.signed).length;
    const counts = ["stop", "warn", "note"].map((k) => [k, open(k)] as const).filter(([, n]) => n);
    const signed = all.filter((r) => seenTo(r.finding)).length;
    this.#lede.replaceChildren(counts.length ? counts.map(([k, n]) => plural(n, (words[k] ?? k).toLowerCase())).join(", ") + (signed ? `, and ${signed} answered for` : "") + ". " : signed ? `${plural(signed, "finding")} answered for. ` : "Nothing was found. ",
      "A check can show that a rule is not met, never that a show is safe or lawful: local codes and licensed people decide that.");
    this.#body.replaceChildren(...this.#told(all));
  }

  async renew(model: Model): Promise<void> {
    this.model = model;
    this.#remedies.renew(model);
    void this.#pencil.look();
    await this.fill();
  }

  // told tells the chapters: of all of them together a few stand, the first first, and the rest of
  // each opens in its place.
  #told(all: readonly Remark[]): HTMLElement[] {
    let left = this.#open;
    return chapters.flatMap(([title, belongs]) => {
      const groups = grouped(all.filter((r) => belongs(r.finding)));
      if (!groups.length) return [];
      const list = begun(groups.map((g) => this.#entry(g)), left, (n) => (n < groups.length ? `${n} more` : `show ${n}`));
      list.at(-1)?.querySelector(".more")?.addEventListener("click", () => { this.#open = Math.max(this.#open, most) + groups.length; });
      left = Math.max(0, left - groups.length);
      return [h("h2", {}, title), h("ul", { class: "findings" }, ...list)];
    });
  }

  #entry(group: readonly Remark[]): HTMLLIElement {
    const [first, ...others] = group as [Remark, ...Remark[]], f = first.finding;
    return h("li", { class: "entry" }, remark(f, true, others.map((r) => r.finding)),
      this.#remedies.of(first),
      others.length > 0 && h("ul", { class: "places" }, ...begun(others.map((r) => h("li", {}, plain(r.finding), " ", figures(r.finding), this.#remedies.of(r))), most - 1, (n) => `${n} more`)),
      f.assumed && h("p", { class: "quiet" }, "Taken for granted: " + f.assumed),
      f.file && h("p", { class: "quiet" }, `${f.file}${f.line ? ":" + f.line : ""}`));
  }
}

const figures = (f: Finding): HTMLElement =>
  h("details", { class: "figures" }, h("summary", {}, [f.to > 0 ? when(f) : "", f.place].filter(Boolean).join(" · ") || "figures"), h("p", {}, f.text), measure(f) && h("p", {}, measure(f)));

// grouped puts findings together as the commands do: of one kind, with one
// source, one cure and the same taken for granted.
function grouped(list: readonly Remark[]): Remark[][] {
  const out: Remark[][] = [];
  for (const r of list) {
    const last = out.at(-1);
    if (last?.[0] && r.finding.id !== "file" && key(last[0].finding) === key(r.finding)) last.push(r);
    else out.push([r]);
  }
  return out;
}

const key = (f: Finding): string => JSON.stringify([f.id, f.severity, f.source, f.assumed, f.hint, f.signed]);

void start(async (model): Promise<Renews> => {
  const page = new Page(model);
  await page.fill();
  return (next) => { void page.renew(next); return true; };
});
