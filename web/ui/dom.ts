// Small makers of elements. Text always goes in as text, never as markup; only
// drawings that the program made are taken in as they are.

export type Child = Node | string | null | undefined | false;
type Attributes = Record<string, string | number | boolean | EventListener | undefined>;

function fill(e: Element, attributes: Attributes, children: readonly Child[]): void {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === false) continue;
    if (typeof value === "function") e.addEventListener(name, value);
    else e.setAttribute(name, value === true ? "" : String(value));
  }
  for (const c of children) if (c) e.append(c);
}

export function h<K extends keyof HTMLElementTagNameMap>(
  tag: K, attributes: Attributes = {}, ...children: readonly Child[]
): HTMLElementTagNameMap[K] {
  const e = document.createElement(tag);
  fill(e, attributes, children);
  return e;
}

export function svg<K extends keyof SVGElementTagNameMap>(
  tag: K, attributes: Attributes = {}, ...children: readonly Child[]
): SVGElementTagNameMap[K] {
  const e = document.createElementNS("http://www.w3.org/2000/svg", tag);
  fill(e, attributes, children);
  return e;
}

// drawn takes in a drawing that the program made, so that it has the page's
// colours and letters and its parts can be pointed at.
export function drawn(text: string, name: string): SVGSVGElement {
  const e = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  if (!(e instanceof SVGSVGElement)) throw new MissingPart("drawing");
  e.setAttribute("class", `drawn ${name}`);
  return document.importNode(e, true);
}

// place moves an element by its own style object, which the page's security
// policy allows where style attributes are refused.
export function place<E extends HTMLElement | SVGElement>(e: E, style: Partial<CSSStyleDeclaration>): E {
  Object.assign(e.style, style);
  return e;
}

export function main(): HTMLElement {
  const e = document.getElementById("main");
  if (!e) throw new MissingPart("main");
  return e;
}

export class MissingPart extends Error {
  constructor(id: string) {
    super(`the page has no #${id}`);
    this.name = "MissingPart";
  }
}

export const calm = (): boolean => matchMedia("(prefers-reduced-motion: reduce)").matches;
