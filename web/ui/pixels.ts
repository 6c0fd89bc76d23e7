// Pixels of a tile, written row by row: hundreds of rows of thin bands are painted faster so
// than by a canvas's own calls.

export type Colour = readonly [red: number, green: number, blue: number];

// over is a colour seen through another.
export const over = (top: Colour, under: Colour, share: number): Colour =>
  [0, 1, 2].map((k) => (top[k] ?? 0) * share + (under[k] ?? 0) * (1 - share)) as unknown as Colour;

export class Pixels {
  readonly #bytes: Uint8ClampedArray<ArrayBuffer>;
  readonly #words: Uint32Array;
  readonly #one = new Uint8ClampedArray(4);
  readonly #word = new Uint32Array(this.#one.buffer); // the same four bytes, in the machine's order

  constructor(readonly width: number, readonly height: number) {
    this.#bytes = new Uint8ClampedArray(new ArrayBuffer(4 * width * height));
    this.#words = new Uint32Array(this.#bytes.buffer);
  }

  // band lays a colour over a row from x0 to x1; its ends cover their pixels in part.
  band(row: number, x0: number, x1: number, c: Colour): void {
    const from = Math.max(x0, 0), to = Math.min(x1, this.width), line = row * this.width;
    if (to <= from) return;
    const first = Math.ceil(from), last = Math.floor(to);
    if (first > last) return this.#part(line + last, c, to - from);
    if (first > from) this.#part(line + first - 1, c, first - from);
    if (to > last) this.#part(line + last, c, to - last);
    [this.#one[0], this.#one[1], this.#one[2], this.#one[3]] = [c[0], c[1], c[2], 255];
    this.#words.fill(this.#word[0] ?? 0, line + first, line + last);
  }

  // part covers a share of a pixel.
  #part(at: number, c: Colour, share: number): void {
    const d = this.#bytes, i = 4 * at, under = ((d[i + 3] ?? 0) / 255) * (1 - share), all = share + under;
    for (let k = 0; k < 3; k++) d[i + k] = ((c[k] ?? 0) * share + (d[i + k] ?? 0) * under) / all;
    d[i + 3] = 255 * all;
  }

  // again makes a row what the one above it is.
  again(row: number): void {
    this.#words.copyWithin(row * this.width, (row - 1) * this.width, row * this.width);
  }

  onto(canvas: HTMLCanvasElement): void {
    canvas.width = this.width;
    canvas.height = this.height;
    canvas.getContext("2d")?.putImageData(new ImageData(this.#bytes, this.width), 0, 0);
  }
}

// sharp is how many pixels a tile has to one of the page.
export const sharp = (): number => Math.min(2, devicePixelRatio || 1);
