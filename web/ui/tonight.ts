// A run that is begun from the title page, in a program of its own, and ended there.
import type { RunNow } from "./api";
import { plural } from "./clock";
import { answer } from "./data";
import { h } from "./dom";
import { send } from "./key";

// tonight is the way to a run; nothing where none can be begun from here.
export function tonight(stops: number): HTMLElement {
  const element = h("div", { class: "tonight" });
  const button = (words: string, does: () => void): HTMLElement => h("button", { type: "button", click: does }, words);

  const ask = async (act: "begin" | "end", words: string): Promise<void> => {
    element.replaceChildren(h("p", { role: "status" }, words));
    try {
      const r = await send(`/api/run/${act}`, { method: "POST" });
      if (!r.ok) throw new Error((await r.text()).trim());
      show((await r.json()) as RunNow);
    } catch (e) {
      show({ runs: true, on: act === "end", link: "", said: e instanceof Error ? e.message : String(e) });
    }
    element.querySelector<HTMLElement>("a, button")?.focus();
  };
  // sure asks once more before lamps change.
  const sure = (words: string, yes: string, does: () => void, now: RunNow): void => {
    const b = button(yes, does);
    element.replaceChildren(h("div", { class: "sure" }, h("p", {}, words), h("p", { class: "acts" }, b, button("Not now", () => { show(now); element.querySelector("button")?.focus(); }))));
    b.focus();
  };
  // watch tells within a second that a run is over, or has failed.
  let watched: ReturnType<typeof setTimeout> | undefined;
  const watch = (was: RunNow): void => {
    clearTimeout(watched);
    if (was.on && element.isConnected) watched = setTimeout(() => void answer<RunNow>("/api/run").then((now) => (now.on ? watch(now) : show(now, true)), () => watch(was)), 1000);
  };
  const show = (now: RunNow, over = false): void => {
    element.hidden = !now.runs;
    if (!now.runs) return;
    queueMicrotask(() => watch(now));
    const said = now.said ? h("p", { class: "wrong", role: "alert" }, over ? `The run broke off: ${now.said}` : now.said) : over && h("p", { role: "status" }, "The run is over.");
    if (now.on) {
      element.replaceChildren(h("p", {}, "A run is on. ", now.link && h("a", { href: now.link }, "To its Night page"), " ", button("End it", () => sure("The light of the show goes out and the sound stops. See that there is other light.", "End the run", () => void ask("end", "The run is being ended."), now))), said || "");
    } else if (stops) {
      element.replaceChildren(h("p", {}, `It can run once ${plural(stops, "stop is", "stops are")} `, h("a", { href: "/checks" }, "seen to"), "."), said || "");
    } else {
      element.replaceChildren(h("p", {}, button("Run it", () => sure("The lamps that are connected come on, in the light that the show begins with, and the sound plays on this computer. See that nobody is on a ladder or looks into a lamp, and that whoever is in the room knows.", "Begin the run", () => void ask("begin", "The run is being begun: its page comes when the lamps are there."), now))), said || "");
    }
  };
  element.hidden = true;
  void answer<RunNow>("/api/run").then(show, () => {});
  return element;
}
