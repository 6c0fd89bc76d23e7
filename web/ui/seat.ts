// Sound against light at a seat: the phone's camera and microphone, an eye and an ear, or a
// figure that somebody knows.
import type { SeatBlock, SeatFrame, SeatRow, SeatsNow } from "./api";
import { sentence } from "./clock";
import { answer, post } from "./data";
import { h, main } from "./dom";
import { send } from "./key";
import type { Model } from "./model";
import { base64 } from "./sign";
import { start } from "./start";

const often = 500; // ms between two questions to the program
const pieces = 1000; // ms between two parcels to it
const bands = 16;
const ear = 24; // samples to a level, as ear.ts has it

type Taken = { blocks: SeatBlock[]; frames: SeatFrame[] };

// Senses are camera and microphone, once they are open. They stay open from place to place: a
// phone's own delays stay the same only so long.
class Senses {
  readonly opening = Math.random().toString(36).slice(2);
  taken: Taken = { blocks: [], frames: [] };
  readonly #canvas = new OffscreenCanvas(64, 64);

  private constructor(readonly video: HTMLVideoElement, readonly bin: number) {}

  static async open(): Promise<Senses> {
    const stream = await navigator.mediaDevices.getUserMedia({
      video: { facingMode: "environment", width: { ideal: 640 }, height: { ideal: 480 }, frameRate: { ideal: 60 } },
      // What makes speech clear would take the clicks for noise.
      audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false },
    });
    const video = h("video", { class: "finder", muted: true, playsinline: true, "aria-label": "what the camera sees" });
    video.muted = true;
    video.srcObject = new MediaStream(stream.getVideoTracks());
    await video.play();
    const audio = new AudioContext({ latencyHint: "interactive" });
    await audio.audioWorklet.addModule("/built/ear.js");
    await audio.resume();
    const s = new Senses(video, ear / audio.sampleRate);
    const node = new AudioWorkletNode(audio, "ear", { numberOfInputs: 1, numberOfOutputs: 1 });
    node.port.onmessage = (e: MessageEvent<Uint8Array>) => s.taken.blocks.push({ at: performance.now() / 1000, levels: base64(e.data) });
    // The band of the clicks. What comes out of the ear is silence, but makes it listen.
    const low = new BiquadFilterNode(audio, { type: "highpass", frequency: 700 }), high = new BiquadFilterNode(audio, { type: "lowpass", frequency: 4000 });
    audio.createMediaStreamSource(new MediaStream(stream.getAudioTracks())).connect(low).connect(high).connect(node).connect(audio.destination);
    s.#watch();
    return s;
  }

  #watch(): void {
    this.video.requestVideoFrameCallback((now, meta) => {
      this.#watch();
      const paint = this.#canvas.getContext("2d", { willReadFrequently: true });
      if (!paint) return;
      paint.drawImage(this.video, 0, 0, 64, 64);
      // When it was taken, where the browser knows; else when it was handed over.
      this.taken.frames.push({ at: (meta.captureTime ?? now) / 1000, rows: base64(this.#bands(paint.getImageData(0, 0, 64, 64).data)) });
    });
  }

  // bands is how bright the picture is, band by band of those that the sensor reads together:
  // along the longer side, however the phone is held.
  #bands(data: Uint8ClampedArray): Uint8Array {
    const out = new Uint8Array(2 * bands), upright = this.video.videoHeight > this.video.videoWidth, per = 64 / bands;
    for (let b = 0; b < bands; b++) {
      let sum = 0;
      for (let i = 0; i < per * 64; i++) {
        const along = b * per + Math.floor(i / 64), across = i % 64;
        const at = 4 * (upright ? across * 64 + along : along * 64 + across);
        sum += 0.2126 * (data[at] ?? 0) + 0.7152 * (data[at + 1] ?? 0) + 0.0722 * (data[at + 2] ?? 0);
      }
      const mean = Math.round(sum / (per * 64) * 257);
      out[2 * b] = mean >> 8;
      out[2 * b + 1] = mean & 255;
    }
    return out;
  }

  parcel(): { opening: string; bin: number } & Taken {
    const p = { opening: this.opening, bin: this.bin, ...this.taken };
    this.taken = { blocks: [], frames: [] };
    return p;
  }
}

const cautions = [
  "Lights flash, up to 1.4 times a second, for about a minute. Flashing light can bring on a seizure: only people who know of it stay in the hall, and nobody who is sensitive to it. Say it aloud before you begin, and stop at once if somebody feels unwell.",
  "Nobody is on a ladder or carries anything meanwhile. Clicks come from the loudspeakers: begin with the amplifier low.",
];

function build(_: Model): void {
  const told = h("p", { class: "told", role: "alert" }), now = h("p", { class: "now", role: "status" }), light = h("p", { class: "quiet" });
  const place = h("input", { type: "text", maxlength: 60, value: "centre seat", "aria-label": "place", list: "places" });
  const ready = h("input", { type: "checkbox" });
  const finder = h("div", { class: "view" }), eye = h("section", { class: "eye", "aria-label": "which came first", hidden: true }), rows = h("tbody");
  const figure = h("input", { type: "text", maxlength: 40, placeholder: "12 ms ± 5 ms", "aria-label": "sound after light" });
  const places = h("datalist", { id: "places" });
  let senses: Senses | undefined;
  let mine = false; // what is under way was begun here

  const act = async (what: string, body?: object): Promise<boolean> => {
    told.textContent = sentence(await post(`/api/seats/${what}`, body).catch(() => "the order did not arrive: is the program still there?"));
    await look();
    return told.textContent === "";
  };

  const allowed = (): boolean => {
    if (ready.checked) return true;
    told.textContent = "Say it in the hall first, and tick that everybody knows.";
    return false;
  };

  async function measure(): Promise<void> {
    if (!allowed()) return;
    if (!senses) {
      try {
        senses = await Senses.open();
        finder.replaceChildren(senses.video);
      } catch (e) {
        told.textContent = `Camera or microphone cannot be had (${e instanceof Error ? e.message : String(e)}). Allow both for this page, or do it by eye below.`;
        return;
      }
    }
    senses.parcel(); // what came before is of no use
    await awake();
    mine = await act("begin", { place: place.value, opening: senses.opening });
  }

  // awake keeps the phone from sleeping for the minute, where the browser can.
  const awake = async (): Promise<void> => { if ("wakeLock" in navigator) await navigator.wakeLock.request("screen").catch(() => undefined); };

  const byEye = async (): Promise<void> => { if (allowed()) mine = await act("begin", { place: place.value, opening: "" }); };

  const button = (text: string, does: () => void, kind = ""): HTMLButtonElement => h("button", { type: "button", class: kind, click: () => does() }, text);
  eye.append(h("p", { class: "big" }, "Which came first?"), h("p", { class: "quiet" }, "Look at what is lit, listen to several, then say. What falls together is found from both sides, in about a dozen answers."), h("div", { class: "ticks" },
    ...([["Light", "light"], ["Together", "together"], ["Sound", "sound"]] as const).map(([text, first]) => button(text, () => void act("came", { first })))));

  let known = "", takes = "", sending = false;
  async function look(): Promise<void> {
    const s = await answer<SeatsNow>("/api/seats").catch(() => undefined);
    if (!s) {
      told.textContent = "No word from the program: is it still running?";
      return;
    }
    takes = s.takes;
    const text = JSON.stringify(s);
    if (text === known) return;
    known = text;
    draw(s);
  }

  const line = (r: SeatRow): HTMLElement => h("tr", {}, h("th", { scope: "row" }, r.place), h("td", {}, r.beside), h("td", {}, r.behind || "not known yet"), h("td", {}, r.how));

  function draw(s: SeatsNow): void {
    now.textContent = s.place && !s.eye ? `${s.place}: ${s.done < s.of ? `flash ${s.done} of ${s.of}. Keep the phone still, the lit room in its picture` : "working it out"}` : s.wrong ? sentence(s.wrong) : "";
    now.classList.toggle("wrong", s.wrong !== "" && !s.place);
    light.textContent = s.light;
    eye.hidden = !s.eye;
    begin.disabled = look2.disabled = s.place !== "";
    end.hidden = s.place === "";
    rows.replaceChildren(...s.rows.map(line));
    if (!s.rows.length) rows.append(h("tr", {}, h("td", { colspan: 4 }, "no place yet")));
    places.replaceChildren(...s.rows.map((r) => h("option", { value: r.place })));
  }

  async function parcel(): Promise<void> {
    if (!senses || sending) return;
    const p = senses.parcel();
    if (takes !== senses.opening) return;
    sending = true;
    const r = await send("/api/seats/take", { method: "POST", body: JSON.stringify(p) }).catch(() => undefined);
    sending = false;
    if (r && !r.ok) told.textContent = sentence((await r.text()).trim());
  }

  const begin = button("Measure with camera and microphone", () => void measure(), "yes"), look2 = button("By eye and ear", () => void byEye()), end = button("Stop", () => void act("stop"));
  const camera = "mediaDevices" in navigator && window.isSecureContext && "requestVideoFrameCallback" in HTMLVideoElement.prototype;
  main().append(h("div", { class: "seat" }, h("h2", {}, "Sound against light, at this seat"),
    ...cautions.map((c) => h("p", { class: "caution" }, c)), light,
    h("p", {}, h("label", {}, ready, " Everybody here knows, and I can stop it")),
    h("p", {}, h("label", {}, "where I am ", place), places),
    h("div", { class: "ticks" }, camera ? begin : h("p", { class: "cure" }, "This browser gives a page camera and microphone only over https or on the computer itself, and this page came without: start lampblack sync with --tls self and open its new link, open the page on the laptop, or do it by eye."), look2, end),
    told, now, finder, eye,
    h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "the places" }, h("table", { class: "ruled" }, h("thead", {}, h("tr", {}, ...["place", "against the first", "sound after light", "how"].map((n) => h("th", { scope: "col" }, n)))), rows)),
    h("details", {}, h("summary", {}, "A figure that you know"), h("p", { class: "quiet" }, "How far sound is behind light where I am, as 12 ms or 12 ms ± 5 ms; less than 0 where sound comes first. Where the phone was held too, all other places get their real figures by it."),
      h("p", {}, figure, " ", button("It is so here", () => void act("said", { place: place.value, text: figure.value })))),
    h("details", {}, h("summary", {}, "What the figures are"), h("p", { class: "quiet" }, "A phone's camera and microphone have delays of their own, which nothing tells. They stay the same while this page and its camera are open: differences between places are free of them, real figures need one place where the real one is known. Leave the page open, the phone upright or on its side as it was, and walk from place to place. Sound takes 2.9 ms to the metre."))));
  setInterval(() => { if (!document.hidden) void look(); }, often);
  setInterval(() => void parcel(), pieces);
  addEventListener("pagehide", () => { if (mine && begin.disabled) void send("/api/seats/stop", { method: "POST", keepalive: true }); });
  void look();
}

void start(build);
