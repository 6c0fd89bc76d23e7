// Long lists begin with a few, and open in place.
import { h } from "./dom";

// most is how many findings stand on a page until more are asked for; package page has the same.
export const most = 5;

// begun is the beginning of a list, with a button that brings the rest into its place.
export function begun(items: readonly HTMLElement[], first: number, words: (n: number) => string): HTMLElement[] {
  if (items.length <= first) return [...items];
  const button = h("button", { type: "button", class: "more", click: () => {
    const rest = items.slice(first);
    at.replaceWith(...rest);
    rest[0]?.querySelector<HTMLElement>("a, button, summary")?.focus();
  } }, words(items.length - first));
  const at = h("li", {}, button);
  return [...items.slice(0, first), at];
}
