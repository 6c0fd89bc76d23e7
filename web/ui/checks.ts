// The checks page: first what must be done before anyone comes, then what is
// good to know; findings that differ in their place alone are told as one.
import type { Finding } from "./api";
import { plural } from "./clock";
import { answer } from "./data";
import { h, main } from "./dom";
import { measure, remark, when, words } from "./margin";
import { begun, most } from "./more";
import { grave, timed, type Model } from "./model";
import { plain } from "./plain";
import { start } from "./start";

// What could not be judged, since nobody said enough: one entry, at the end.
const unjudged = "not-judged";

const chapters: readonly (readonly [string, (f: Finding) => boolean])[] = [
  ["Do this before anyone comes", (f) => f.severity !== "note"],
  ["Know this", (f) => f.severity === "note" && f.id !== unjudged],
  ["Not judged", (f) => f.id === unjudged],
];

async function build(model: Model): Promise<void> {
  const all = [...await answer<readonly Finding[]>("/api/findings")].sort((a, b) => grave(a) - grave(b));
  const counts = ["stop", "warn", "note"].map((k) => [k, all.filter((f) => f.severity === k && f.id !== unjudged).length] as const).filter(([, n]) => n);
  main().append(h("div", { class: "chapter" }, h("h2", {}, "Checks"),
    h("p", { class: "lede" }, counts.length ? counts.map(([k, n]) => plural(n, (words[k] ?? k).toLowerCase())).join(", ") + ". " : "Nothing was found. ",
      "A check can show that a rule is not met, never that a show is safe or lawful: local codes and licensed people decide that."),
    ...told(all, model)));
}

// told tells the chapters: of all of them together a few stand, the first first, and the rest of
// each opens in its place.
function told(all: readonly Finding[], model: Model): HTMLElement[] {
  let left = most;
  return chapters.flatMap(([title, belongs]) => {
    const groups = grouped(all.filter(belongs));
    if (!groups.length) return [];
    const list = begun(groups.map((g) => entry(g, model)), left, (n) => (n < groups.length ? `${n} more` : `show ${n}`));
    left = Math.max(0, left - groups.length);
    return [h("h2", {}, title), h("ul", { class: "findings" }, ...list)];
  });
}

// grouped puts findings together as the commands do: of one kind, with one
// source, one cure and the same taken for granted.
function grouped(list: readonly Finding[]): Finding[][] {
  const out: Finding[][] = [];
  for (const f of list) {
    const last = out.at(-1);
    if (last?.[0] && f.id !== "file" && key(last[0]) === key(f)) last.push(f);
    else out.push([f]);
  }
  return out;
}

const key = (f: Finding): string => JSON.stringify([f.id, f.severity, f.source, f.assumed, f.hint, f.signed]);

function entry(group: readonly Finding[], model: Model): HTMLLIElement {
  const [first, ...others] = group as [Finding, ...Finding[]];
  return h("li", { class: "entry" }, remark(first, true, others),
    seen(first, model),
    others.length > 0 && h("ul", { class: "places" }, ...begun(others.map((f) => h("li", {}, plain(f), " ",
      h("details", { class: "figures" }, h("summary", {}, [f.to > 0 ? when(f) : "", f.place].filter(Boolean).join(" · ") || "figures"), h("p", {}, f.text), measure(f) && h("p", {}, measure(f))), seen(f, model))), most - 1, (n) => `${n} more`)),
    first.assumed && h("p", { class: "quiet" }, "Taken for granted: " + first.assumed),
    first.file && h("p", { class: "quiet" }, `${first.file}${first.line ? ":" + first.line : ""}`));
}

function seen(f: Finding, model: Model): HTMLElement | false {
  return timed(f, model.show.length) && h("a", { class: "at", href: `/room?at=${f.from.toFixed(2)}` }, "see the room at that second");
}

void start(build);
