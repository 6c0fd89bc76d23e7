// What a night came to: the report of its runs, fit for paper.
import type { Happening, NightReport, Report } from "./api";
import { say, sentence } from "./clock";
import { answer } from "./data";
import { Unanswered } from "./key";
import { h, main, type Child } from "./dom";
import type { Model } from "./model";
import { start } from "./start";
import { table } from "./table";

const time = (text: string): string => new Date(text).toLocaleTimeString("en-GB");
const day = (text: string): string => new Date(text).toLocaleString("en-GB", { day: "numeric", month: "long", hour: "2-digit", minute: "2-digit" });

// lasts says how long something took, as 1:02:03.
function lasts(seconds: number): string {
  const s = Math.round(seconds), two = (v: number): string => String(v).padStart(2, "0");
  return s >= 3600 ? `${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}` : `${Math.floor(s / 60)}:${two(s % 60)}`;
}

const list = (title: string, lines: readonly string[]): Child => lines.length > 0 && h("section", {}, h("h2", {}, title), h("ul", { class: "told" }, ...lines.map((l) => h("li", {}, sentence(l)))));

const what = (e: Happening): HTMLElement => h("span", {}, e.zone ? e.zone + ": " : "", e.bad ? h("b", { class: "bad" }, e.what) : e.what);

function whole({ report: r, since }: NightReport): HTMLElement {
  return h("div", {}, h("p", { class: "lede" }, `${day(r.from)} to ${day(r.to)}, ${lasts((Date.parse(r.to) - Date.parse(r.from)) / 1000)}. `, r.frames.map(sentence).join(" ")),
    list("Another than the night before", since), ran(r),
    h("section", {}, h("h2", {}, "Beside the plan"), r.happened.length ? table(["at", "what", "more", "asked by"], r.happened.map((e) => [time(e.time), what(e), e.text ?? "", e.who ?? ""]), "what happened beside the plan") : h("p", {}, "Nothing.")),
    r.asked.length > 0 && h("section", {}, h("h2", {}, "Who asked"), table(["who", "done", "refused", "the last that was refused"], r.asked.map((a) => [a.who, String(a.done), String(a.refused), a.why ?? ""]), "who asked")),
    h("section", {}, h("h2", {}, "Lamps"), table(["unit", "lit", "as much as at full, h", "with black light"], r.lamps.map((l) => [l.unit, lasts(3600 * l.lit), l.full.toFixed(2), lasts(3600 * l.violet)]), "hours of the lamps")),
    r.people.length > 0 && h("section", {}, h("h2", {}, "Ultraviolet at eyes"),
      h("p", { class: "quiet" }, "UV-A of this night, upper end, for somebody who was there all the time and turned to the lamps. A meter beats it."),
      table(["who", "dose, J/m²", "of a day’s limit", "under it for"], r.people.map((p) => [`${p.kind} ${p.name}`, say(p.dose), h("span", { class: p.dose > p.limit ? "bad" : "" }, `${Math.round(100 * p.dose / p.limit)} %`), lasts(3600 * p.hours)]), "ultraviolet at eyes")),
    list("Not known, or not counted", r.doubts));
}

const ran = (r: Report): HTMLElement => h("section", {}, h("h2", {}, "What ran"), ...r.zones.flatMap((z) => [
  r.zones.length > 1 && h("h3", {}, z.zone),
  table(["at", "step", "took", "usually", "cues", "ended"], z.steps.map((s) => [time(s.at), s.step || r.title, lasts(s.length), lasts(s.usual), String(s.cues), s.cut ? "cut off, or goes on" : ""]), `what ran in ${z.zone}`),
  z.lines.length > 0 && h("ul", { class: "told" }, ...z.lines.map((l) => h("li", {}, sentence(l))))]).filter((e): e is HTMLElement => !!e));

async function build(model: Model): Promise<void> {
  const nights = [...await answer<readonly string[]>("/api/nights")].reverse();
  const body = h("div", { "aria-live": "polite" });
  const choice = h("select", { "aria-label": "night", change: () => void show(choice.value) }, ...nights.map((n) => h("option", {}, n)));

  async function show(night: string): Promise<void> {
    body.replaceChildren(h("p", { class: "quiet" }, "It is worked out: a moment."));
    try {
      const n = await answer<NightReport>("/api/night?night=" + encodeURIComponent(night));
      if (choice.value === night) body.replaceChildren(whole(n));
    } catch (e) {
      body.replaceChildren(h("p", {}, e instanceof Unanswered ? sentence(e.text) : "No word from the program: is it still running?"));
    }
  }

  main().append(h("div", { class: "chapter report" }, h("h2", {}, `Show report: ${model.show.title}`),
    nights.length ? h("p", { class: "choose" }, "night of ", choice) : h("p", {}, "No night is written down yet: each run does so by itself."), body));
  if (nights[0]) await show(nights[0]);
}

void start(build);
