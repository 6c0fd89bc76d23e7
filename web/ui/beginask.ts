// What the forms of the questions are made of.
import type { Answers, Asking, Work } from "./api";
import { sentence } from "./clock";
import { h, type Child } from "./dom";

// Mutable is a copy of an answer that a form changes.
export type Mutable<T> = T extends readonly unknown[] ? number extends T["length"] ? Mutable<T[number]>[] : { -readonly [K in keyof T]: T[K] } : T extends object ? { -readonly [K in keyof T]: Mutable<T[K]> } : T;
export const copy = <T>(v: T): Mutable<T> => structuredClone(v) as Mutable<T>;

// Form is what a question's form goes by.
export type Form = {
  readonly asking: Asking;
  readonly answers: Answers;
  save: (part: Partial<Answers>) => void; // writes an answer at once
  say: (words: string) => void; // what went wrong, "" for nothing
  run: (work: () => Promise<unknown>) => void; // and tells what went wrong
  take: (next: Asking) => void; // how it all stands now
  work: (kind: string) => Work | undefined;
  moving: (is: () => boolean) => void; // says when the form must not be made anew
};

export const field = (label: string, input: HTMLElement, unit = ""): HTMLElement => h("label", { class: "asked" }, h("span", {}, label), input, unit && h("small", {}, unit));

// text is a line that is written when it is left.
export function text(at: string, value: string, to: (v: string) => void, more: Record<string, string | number | boolean> = {}): HTMLInputElement {
  const e = h("input", { type: "text", "data-at": at, autocomplete: "off", ...more, change: () => to(e.value) });
  e.value = value;
  e.defaultValue = value;
  return e;
}

// figure is a number; what is none is not written.
export function figure(at: string, value: number, to: (v: number) => void, more: Record<string, string | number> = {}): HTMLInputElement {
  const e = h("input", { type: "number", "data-at": at, step: "any", ...more, change: () => { if (e.value !== "" && Number.isFinite(e.valueAsNumber)) to(e.valueAsNumber); } });
  e.value = String(+value.toFixed(3));
  e.defaultValue = e.value;
  return e;
}

export function choice(at: string, value: string, of: readonly (readonly [string, string])[], to: (v: string) => void, label = ""): HTMLSelectElement {
  const e = h("select", { "data-at": at, ...(label && { "aria-label": label }), change: () => to(e.value) }, ...of.map(([v, words]) => h("option", { value: v }, words)));
  if (!of.some(([v]) => v === value)) e.append(h("option", { value }, value));
  e.value = value;
  return e;
}

export function tick(at: string, label: string, value: boolean, to: (v: boolean) => void): HTMLElement {
  const e = h("input", { type: "checkbox", "data-at": at, change: () => to(e.checked) });
  e.checked = value;
  e.defaultChecked = value;
  return h("label", { class: "tick" }, e, label);
}

export const press = (at: string, label: string, does: () => void, more: Record<string, string | boolean> = {}): HTMLButtonElement => h("button", { type: "button", "data-at": at, ...more, click: does }, label);

// progress draws how far a work is, or what came of it.
export function progress(w: Work | undefined, stop?: () => void): HTMLElement {
  if (!w) return h("p", { class: "work", hidden: true });
  const words: Child[] = w.done ? [w.failed ? sentence(w.failed) : sentence(w.said)] : [sentence(w.what).replace(/\.$/, " …"), w.share > 0 && ` ${Math.round(100 * w.share)} %`];
  return h("p", { class: `work${w.failed ? " wrong" : ""}`, role: "status" }, ...words,
    !w.done && h("progress", { max: 1, ...(w.share > 0 && { value: w.share }), "aria-label": w.what }), !w.done && stop && press(`stop ${w.kind}`, "Stop", stop));
}

// named is a name that no other has.
export function named(like: string, taken: readonly string[]): string {
  for (let n = 1; ; n++) {
    const name = n === 1 ? like : `${like} ${n}`;
    if (!taken.includes(name)) return name;
  }
}
