// A table as the pages rule it.
import { say } from "./clock";
import { h, type Child } from "./dom";

type Cell = Child | number;

export function table(heads: readonly string[], rows: readonly (readonly Cell[])[], caption: string): HTMLElement {
  const numeric = (c: Cell): boolean => typeof c === "number";
  return h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": caption }, h("table", { class: "ruled" }, h("caption", { class: "unseen" }, caption),
    h("thead", {}, h("tr", {}, ...heads.map((t, i) => h("th", { scope: "col", class: numeric(rows[0]?.[i]) ? "n" : "" }, t)))),
    h("tbody", {}, ...rows.map((r) => h("tr", {}, ...r.map((c, i) =>
      i === 0 ? h("th", { scope: "row" }, typeof c === "number" ? String(c) : c) : h("td", { class: numeric(c) ? "n" : "" }, typeof c === "number" ? say(c) : c)))))));
}
