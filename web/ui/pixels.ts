// Tiles of pixels, written row by row: hundreds of rows of thin bands are painted faster so than
// by a canvas's own calls, and a page scrolls past pictures that stand faster than past canvases.
import { h } from "./dom";

export type Colour = readonly [red: number, green: number, blue: number];

// over is a colour seen through another.
export const over = (top: Colour, under: Colour, share: number): Colour =>
  [0, 1, 2].map((k) => (top[k] ?? 0) * share + (under[k] ?? 0) * (1 - share)) as unknown as Colour;

// The head of a picture in the form of BMP (BITMAPINFOHEADER): 32 bits a pixel, blue first, rows from
// the top. It is as large as its pixels, and takes no time to be made or read.
const head = 54;

// scratch is where tiles are made, one after another: a picture has its own copy.
let scratch = new ArrayBuffer(0);

function headed(width: number, height: number): Uint8Array<ArrayBuffer> {
  const long = head + 4 * width * height;
  if (scratch.byteLength < long) scratch = new ArrayBuffer(long);
  const v = new DataView(scratch), out = new Uint8Array(scratch, 0, long);
  v.setUint16(0, 0x424d); // BM
  for (const [at, value] of [[2, long], [10, head], [14, 40], [18, width], [22, -height]] as const) v.setInt32(at, value, true);
  v.setUint16(26, 1, true); // plane
  v.setUint16(28, 32, true); // bits
  return out;
}

// Pixels is one tile that is being made: the one before is made by then.
export class Pixels {
  readonly #file: Uint8Array<ArrayBuffer>;
  readonly #bytes: Uint8ClampedArray;

  constructor(readonly width: number, readonly height: number, ground: Colour) {
    this.#file = headed(width, height);
    this.#bytes = new Uint8ClampedArray(scratch, head, 4 * width * height);
    if (!height) return;
    this.band(0, 0, width, ground);
    for (let row = 1; row < height; row++) this.again(row);
  }

  // band lays a colour over a row from x0 to x1; its ends cover their pixels in part.
  band(row: number, x0: number, x1: number, c: Colour): void {
    const from = Math.max(x0, 0), to = Math.min(x1, this.width), line = row * this.width, d = this.#bytes;
    if (to <= from) return;
    const first = Math.ceil(from), last = Math.floor(to);
    if (first > last) return this.#part(line + last, c, to - from);
    if (first > from) this.#part(line + first - 1, c, first - from);
    if (to > last) this.#part(line + last, c, to - last);
    for (let i = 4 * (line + first); i < 4 * (line + last); i += 4) {
      d[i] = c[2];
      d[i + 1] = c[1];
      d[i + 2] = c[0];
    }
  }

  // part covers a share of a pixel.
  #part(at: number, c: Colour, share: number): void {
    for (let k = 0; k < 3; k++) this.#bytes[4 * at + 2 - k] = (c[k] ?? 0) * share + (this.#bytes[4 * at + 2 - k] ?? 0) * (1 - share);
  }

  // again makes a row what the one above it is.
  again(row: number): void {
    const long = 4 * this.width;
    this.#bytes.copyWithin(row * long, (row - 1) * long, row * long);
  }

  // tile is the picture, ready to be shown. Its address is forgotten once it was read.
  async tile(alt: string): Promise<HTMLImageElement> {
    const src = URL.createObjectURL(new Blob([this.#file], { type: "image/bmp" }));
    const e = h("img", { class: "tile", alt, src });
    await e.decode().finally(() => URL.revokeObjectURL(src));
    return e;
  }
}

// sharp is how many pixels a tile has to one of the page.
export const sharp = (): number => Math.min(2, devicePixelRatio || 1);
