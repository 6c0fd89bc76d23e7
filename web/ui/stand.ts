// Cards and remarks beside their seconds, so that none stands over another.
import { place, svg } from "./dom";
import { spread } from "./spread";

export type Block = {
  at: number; // s
  anchor: number; // px below its top, where its line ends
  element: HTMLElement;
};

const gap = 5; // px

// The forms of a block, from the whole to a single line.
const forms = ["", "short", "line"] as const;

// stand puts blocks beside their seconds, in short form where a leaf is full, and leads a line
// from the second to the block. A form is read of all blocks at once: each time that sizes are
// read after something has changed, the browser lays the page out anew.
export function stand(column: HTMLElement, blocks: readonly Block[], y: (t: number) => number, room: number, gutter: number, lead: string): void {
  if (!blocks.length) return;
  const sizes = blocks.map((b) => b.element.offsetHeight), shown = blocks.map(() => 0);
  const tall = (): number => sizes.reduce((sum, s) => sum + s + gap, 0);
  // Crowded neighbours shorten first: those with least room to the next.
  const tight = blocks.map((b, i) => ({ i, free: (blocks[i + 1]?.at ?? Infinity) - b.at })).sort((a, b) => a.free - b.free);
  for (let form = 1; form < forms.length && tall() > room; form++) {
    dress(blocks, blocks.map(() => form));
    const less = blocks.map((b) => b.element.offsetHeight);
    for (const { i } of tight) {
      if (tall() <= room) break;
      sizes[i] = less[i] ?? 0;
      shown[i] = form;
    }
    dress(blocks, shown);
  }
  const tops = spread(blocks.map((b, i) => ({ want: y(b.at) - b.anchor, size: sizes[i] ?? 0 })), room, gap);
  let d = "";
  blocks.forEach((b, i) => {
    const top = tops[i] ?? 0, from = y(b.at), to = top + Math.min(b.anchor, (sizes[i] ?? 0) / 2);
    place(b.element, { top: `${top}px` });
    d += `M0 ${from.toFixed(1)}h3L${gutter - 5} ${to.toFixed(1)}H${gutter}`;
  });
  column.prepend(svg("svg", { class: lead, width: gutter, height: room, "aria-hidden": "true" }, svg("path", { d })));
}

function dress(blocks: readonly Block[], shown: readonly number[]): void {
  blocks.forEach((b, i) => {
    const form = shown[i] ?? 0;
    b.element.classList.toggle("short", form > 0);
    b.element.classList.toggle("line", form > 1);
  });
}
