// A mark of a drawing with what it means.
import { h, svg } from "./dom";

export const keyed = (kind: string, mark: SVGElement, words: string): HTMLElement =>
  h("li", {}, svg("svg", { class: "sheet", viewBox: "-26 -14 52 28", "aria-hidden": "true" }, svg("g", { class: kind }, mark)), words);
