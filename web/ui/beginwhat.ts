// Questions 1, 2 and 8: what happens, which sound, what is on site.
import { act, bring, stop } from "./ask";
import { choice, copy, field, figure, press, progress, text, tick, type Form } from "./beginask";
import { sentence } from "./clock";
import { h } from "./dom";

export function what(f: Form): HTMLElement {
  const a = copy(f.answers.what), save = (): void => f.save({ what: a });
  const about = h("textarea", { rows: 3, maxlength: 1000, "data-at": "about", change: () => { a.about = about.value; save(); } });
  about.value = about.defaultValue = a.about;
  return h("div", {}, field("What is it called?", text("title", a.title, (v) => { a.title = v; save(); })), field("What happens, in a sentence or two?", about),
    field("Where?", text("place", a.place, (v) => { a.place = v; save(); }, { placeholder: "village hall" })),
    h("fieldset", { class: "either" }, h("legend", {}, "Is it"), either("one", "one piece, from its beginning to its end", !a.evening, () => { a.evening = false; save(); }),
      either("evening", "an evening: people come in, the piece, bows", a.evening, () => { a.evening = true; save(); })));
}

function either(at: string, label: string, is: boolean, does: () => void): HTMLElement {
  const e = h("input", { type: "radio", name: "piece", "data-at": at, change: does });
  e.checked = is;
  return h("label", { class: "tick" }, e, label);
}

// What is on its way goes on while its form is drawn anew.
let ends: AbortController | undefined;
let there = 0;

export function sound(f: Form): HTMLElement {
  const name = f.answers.sound.name, way = h("progress", { max: 1, value: there, "aria-label": "bringing the sound" }), share = h("span", {}, "");
  const take = (file: File): void => f.run(async () => {
    ends = new AbortController();
    way.parentElement?.removeAttribute("hidden");
    try {
      await bring(f.asking.dir, file, (s) => { there = s; way.value = s; share.textContent = ` ${Math.round(100 * s)} %`; }, ends.signal);
    } finally {
      ends = undefined;
      there = 0;
      way.parentElement?.setAttribute("hidden", "");
    }
  });
  f.moving(() => ends !== undefined);
  const pick = h("input", { type: "file", accept: "audio/*,.wav,.flac,.mp3,.ogg,.opus", "data-at": "file", "aria-label": "the sound file", change: () => { const one = pick.files?.[0]; if (one) take(one); } });
  const drop = h("div", { class: "drop",
    dragover: (e) => { e.preventDefault(); drop.classList.add("over"); }, dragleave: () => drop.classList.remove("over"),
    drop: (e) => { e.preventDefault(); drop.classList.remove("over"); const one = (e as DragEvent).dataTransfer?.files[0]; if (one) take(one); } },
  h("p", {}, name ? "Another sound: drop it here, or " : "Drop the soundtrack here, or "), pick);
  const listening = f.work("sound");
  return h("div", {}, name && h("p", {}, "The sound is ", h("b", {}, name), "."), drop, h("p", { class: "work", hidden: !ends }, "Bringing it …", share, way, press("no file", "Stop", () => ends?.abort())),
    progress(listening, () => f.run(() => stop(f.asking.dir, "sound"))),
    name && h("p", { class: "row" }, (!listening || listening.failed !== "") && press("listen", "Listen to it", () => f.run(() => act("listen", f.asking.dir))),
      press("no sound", "Go without this sound", () => f.save({ sound: { name: "" } }))),
    h("p", { class: "says" }, "It stays on this computer. WAV, FLAC, MP3, Ogg Vorbis or Opus. Without a sound each look stands until you say go."));
}

const ways: readonly (readonly [string, string])[] = [["", "nothing yet"], ["e131", "a node in the network, by ANSI E1.31"], ["artnet", "a node in the network, by Art-Net"], ["serial", "a plain cable from USB to DMX512-A"], ["widget", "an interface on USB that makes the frames itself"]];
const usual: Record<string, string> = { e131: "multicast", artnet: "nodes", serial: "/dev/ttyUSB0", widget: "/dev/ttyUSB0" };

export function site(f: Form): HTMLElement {
  const a = copy(f.answers.site), save = (): void => f.save({ site: a });
  return h("div", {}, field("Which way does the light go out?", choice("out", a.out, a.out === "other" ? [...ways, ["other", a.to]] : ways, (v) => { a.out = v; a.to = usual[v] ?? ""; save(); })),
    a.out in usual && field(a.out === "e131" || a.out === "artnet" ? "Its address" : "Its device", text("to", a.to, (v) => { a.to = v; save(); }, { spellcheck: "false" }), a.out === "e131" ? "multicast reaches every node in the network" : a.out === "artnet" ? "nodes: those that are found" : "as the system calls it"),
    tick("timecode", "another machine's timecode leads the show", a.timecode, (v) => { a.timecode = v; save(); }),
    a.timecode && h("p", { class: "says" }, "Where it is gone the show goes on for 2 s, then holds. lampblack run DIR --follow says where it comes from."),
    tick("desk", "a small desk that stores states is there", a.desk, (v) => { a.desk = v; if (v) { a.deskSlots ||= 24; a.scenes ||= 48; } save(); }),
    a.desk && field("How many slots has it?", figure("slots", a.deskSlots, (v) => { a.deskSlots = Math.round(v); save(); }, { min: 1, max: 512, step: 1 })),
    a.desk && field("How many states does it store?", figure("scenes", a.scenes, (v) => { a.scenes = Math.round(v); save(); }, { min: 1, max: 10000, step: 1 })),
    h("p", { class: "says" }, sentence("not known yet is fine: nothing is sent then")));
}
