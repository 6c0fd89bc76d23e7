// The title page: what the show is, what there is to do with it, and what is wrong with it.
import type { Finding } from "./api";
import { clock, plural } from "./clock";
import { answer, save } from "./data";
import { h, type Child } from "./dom";
import { remark } from "./margin";
import { grave, timed, type Model } from "./model";
import { tonight } from "./tonight";

export function frontMatter(model: Model): HTMLElement {
  const s = model.show;
  return h("section", { class: "front", "aria-label": "Title page" },
    h("p", { class: "name" }, s.title),
    h("p", { class: "facts" }, [s.place, clock(s.length), plural(model.cues.length, "cue"), plural(s.looks.length, "look"), plural(s.units, "unit")].filter(Boolean).join(" · ")),
    s.room.guessed && h("p", { class: "facts" }, s.room.guessed),
    !s.heard && h("p", { class: "facts" }, "No soundtrack was listened to, so no moments are known."),
    todo(s.found.stops), found(model), colophon(model));
}

// found tells the first of what is about the show as a whole; notes are for the page of checks.
function found(model: Model): HTMLElement {
  const { stops, warnings, notes, unjudged, first, more } = model.show.found;
  const counts = stops + warnings + notes > 0 || first.length > 0 ? [stops ? plural(stops, "stop") : "no stop", plural(warnings, "warning"), plural(notes, "note")].join(", ") : "no findings";
  const list = h("ul", { class: "whole" }, ...first.map((f) => h("li", {}, remark(f, false))));
  const rest = h("button", { type: "button", class: "more", click: () => {
    rest.replaceChildren("they are being fetched");
    void answer<readonly Finding[]>("/api/findings").then((all) => {
      list.append(...all.filter((f) => !f.lacks && f.severity !== "note" && !timed(f, model.show.length)).sort((a, b) => grave(a) - grave(b)).slice(first.length).map((f) => h("li", {}, remark(f, false))));
      rest.remove();
    }, () => rest.replaceChildren("They did not arrive: ask again"));
  } }, `${more} more about the whole show`);
  return h("div", {}, h("p", { class: "facts" }, h("a", { href: "/checks" }, counts, unjudged && "; not all was judged"), model.show.stale && "; it is being checked again"), first.length > 0 && list, more > 0 && rest);
}

// todo is what there is to do with the show, from the bar of the pages: first the tasks, and with
// each its pages and the papers that are for it, which the program lays out and not the browser.
function todo(stops: number): HTMLElement {
  const said = h("p", { class: "facts", role: "status" });
  const make = async (name: string): Promise<void> => {
    said.textContent = `The ${name} ${name.endsWith("s") ? "are" : "is"} being laid out…`;
    const file = (name === "all papers" ? "all" : name).replaceAll(" ", "-") + ".pdf";
    said.textContent = await save("/sheet/" + file, file).then(() => "", (e: unknown) => `${name}: ${e instanceof Error ? e.message : String(e)}`);
  };
  const paper = (n: string): HTMLElement => h("button", { type: "button", "data-paper": n, click: () => void make(n) }, n);
  // give has a file for other machines made and kept; none is given out while something stops the show.
  const give = async (name: string, file: string): Promise<void> => {
    said.textContent = `${name}: it is being made…`;
    said.textContent = await save("/given/" + file, file).then(() => "", (e: unknown) => `${name}: ${e instanceof Error ? e.message : String(e)}`);
  };
  const files = (list: string): Child | false => {
    if (!list) return false;
    const parts = list.split("; ").map((f) => f.split(": "));
    return h("p", { class: "on-paper" }, "for other machines: ", ...(stops ? [`once ${plural(stops, "stop is", "stops are")} `, h("a", { href: "/checks" }, "seen to")] : listed(parts.map(([file = "", name = "", says = ""]) => h("button", { type: "button", title: says, "data-file": file, click: () => void give(name, file) }, name)))));
  };
  const listed = (list: readonly Node[]): Child[] => list.flatMap((e, i): Child[] => [i ? ", " : "", e]);
  const task = (t: HTMLElement): HTMLElement => h("section", {},
    h("h2", {}, t.querySelector("span")?.textContent ?? ""), h("p", { class: "says" }, t.dataset["says"] ?? ""),
    h("p", {}, ...listed([...t.querySelectorAll("a")].filter((a) => !a.closest("[hidden]") && !a.hasAttribute("aria-current")).map((a) => h("a", { href: a.getAttribute("href") ?? "", title: a.title }, a.textContent)))),
    h("p", { class: "on-paper" }, "on paper: ", ...listed((t.dataset["papers"] ?? "").split(", ").map(paper))), files(t.dataset["files"] ?? ""),
    t.querySelector("span")?.textContent === "run" && tonight(stops));
  return h("div", {}, h("nav", { class: "todo", "aria-label": "What there is to do" }, ...[...document.querySelectorAll<HTMLElement>(".head .task")].map(task)), said);
}

export const colophon = (model: Model): HTMLElement => h("p", { class: "colophon" },
  `Light is computed, ${model.show.ribbons.some((r) => r.dark) ? "ultraviolet in the colour of what it makes glow" : "in its own colour"}; wider is brighter. `,
  "It can show that a rule is not met, never that a room is safe: local codes and licensed people decide.");
