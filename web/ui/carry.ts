// A card is carried along the time by a hand: it goes where the pointer goes, the room is shown as
// it would be, and nothing is written before it is let go.
import { clock } from "./clock";
import { Newest } from "./data";
import { place } from "./dom";
import type { Brief } from "./model";

export type Spot = { at: number; text: string }; // s, and as a file has it

export type Carrier = {
  takes: (number: string) => Promise<Brief | undefined>; // undefined where it is not to be carried
  to: (b: Brief, by: number, keepTime: boolean) => Promise<Spot>; // where it would come to, some px further down
  over: (b: Brief, s: Spot) => void; // it is there now, and not let go
  drops: (s: Spot | undefined) => void; // it is let go; undefined where it is taken back
};

// still is how far a pointer goes before a press is a carry, px.
const still = 5;

export function carries(body: HTMLElement, c: Carrier): void {
  body.addEventListener("pointerdown", (down) => {
    const card = down.target instanceof Element && down.button === 0 ? down.target.closest<HTMLElement>(".card") : null;
    if (card && down.pointerType !== "touch") carry(body, card, down, c); // a finger scrolls the page
  });
}

function carry(body: HTMLElement, card: HTMLElement, down: PointerEvent, c: Carrier): void {
  const end = new AbortController(), on = { signal: end.signal }, time = card.querySelector("time"), was = time?.textContent ?? "";
  let b: Brief | undefined, spot: Spot | undefined, begun = false, y = 0, keep = false;
  const asked = new Newest<Spot | undefined>((s) => {
    if (!s || !b || end.signal.aborted) return;
    spot = s;
    if (time) time.textContent = clock(s.at, 3);
    c.over(b, s);
  }, () => undefined);
  const seek = (): void => asked.ask(async () => (b ? c.to(b, y, keep) : undefined));
  const leave = (goes: boolean): void => {
    end.abort();
    if (!begun) return;
    card.classList.remove("carried");
    place(card, { transform: "" });
    if (time) time.textContent = was;
    // What a carry ends with is no press of the card.
    const press = (e: Event): void => e.stopPropagation();
    body.addEventListener("click", press, { capture: true });
    setTimeout(() => body.removeEventListener("click", press, { capture: true }), 50);
    c.drops(goes ? spot : undefined);
  };
  addEventListener("pointermove", (e) => {
    y = e.clientY - down.clientY;
    keep = e.altKey;
    if (!begun && Math.abs(y) < still) return;
    if (!begun) {
      begun = true;
      card.classList.add("carried");
      void c.takes(card.dataset["cue"] ?? "").then((it) => {
        b = it;
        if (b) seek();
        else leave(false);
      });
    }
    place(card, { transform: `translateY(${y}px)` });
    seek();
  }, on);
  addEventListener("pointerup", () => leave(true), on);
  addEventListener("pointercancel", () => leave(false), on);
  addEventListener("keydown", (e) => { if (e.key === "Escape" && begun) { e.preventDefault(); leave(false); } }, { ...on, capture: true });
}
