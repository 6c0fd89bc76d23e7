// The checks page: every finding with its value, limit and source.
import { plural } from "./clock";
import { h, main } from "./dom";
import { remark, words } from "./margin";
import { timed, type Model } from "./model";
import { start } from "./start";

function build(model: Model): void {
  const all = model.show.findings;
  const groups = ["stop", "warn", "note"].map((k) => [k, all.filter((f) => f.severity === k)] as const);
  main().append(h("div", { class: "chapter" }, h("h2", {}, "Checks"),
    h("p", { class: "lede" }, all.length ? groups.map(([k, l]) => plural(l.length, (words[k] ?? k).toLowerCase())).join(", ") + ". " : "Nothing was found. ",
      "A check can show that a rule is not met, never that a show is safe or lawful: local codes and licensed people decide that."),
    ...groups.filter(([, l]) => l.length).flatMap(([k, l]) => [h("h2", {}, plural(l.length, words[k] ?? k)),
      h("ul", { class: "findings" }, ...l.map((f) => h("li", { class: "entry" }, remark(f, true),
        timed(f, model.show.length) && h("a", { class: "at", href: `/room?at=${f.from.toFixed(2)}` }, "see the room at that second"),
        f.assumed && h("p", { class: "quiet" }, "Taken for granted: " + f.assumed),
        f.file && h("p", { class: "quiet" }, `${f.file}${f.line ? ":" + f.line : ""}`))))])));
}

void start(build);
