// Colours as a person asks for them: bluer, paler. They are mixed in light, as lamps do.

type Rgb = readonly [number, number, number];

// linear undoes the transfer curve of IEC 61966-2-1; code does it.
const linear = (v: number): number => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
const code = (v: number): number => (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055);

function parse(hex: string): Rgb {
  const n = Number.parseInt(hex.slice(1), 16);
  return [linear(((n >> 16) & 255) / 255), linear(((n >> 8) & 255) / 255), linear((n & 255) / 255)];
}

// write makes a colour as bright as a screen can: how bright it is to be is another matter.
function write(c: Rgb): string {
  const most = Math.max(...c, 1e-6);
  return "#" + c.map((v) => Math.round(255 * code(Math.min(1, Math.max(0, v / most)))).toString(16).padStart(2, "0")).join("");
}

const toward = (to: string, share: number) => (hex: string): string => {
  const a = parse(hex), b = parse(to);
  const peak = Math.max(...a, 1e-6);
  return write([0, 1, 2].map((i) => (1 - share) * (a[i] ?? 0) / peak + share * (b[i] ?? 0)) as unknown as Rgb);
};

// deeper takes away of the white that is in a colour.
const deeper = (hex: string): string => {
  const c = parse(hex), least = Math.min(...c), most = Math.max(...c);
  if (most - least < 0.02) return hex; // white has no depth to be given
  return write(c.map((v) => v - 0.35 * least) as unknown as Rgb);
};

// nudges are ways to ask for another colour. Each can be given again.
export const nudges: readonly { name: string; to: (hex: string) => string }[] = [
  { name: "bluer", to: toward("#0030ff", 0.18) },
  { name: "redder", to: toward("#ff1000", 0.18) },
  { name: "greener", to: toward("#10ff20", 0.18) },
  { name: "warmer", to: toward("#ff9030", 0.18) },
  { name: "cooler", to: toward("#a0c8ff", 0.18) },
  { name: "paler", to: toward("#ffffff", 0.22) },
  { name: "deeper", to: deeper },
];

// A slider goes evenly to the eye: light is its place to this power (CIE 1976 lightness is
// near the cube root; less here, so that the low end does not crowd).
const even = 2.2;

export const lightOf = (slider: number): number => Math.round(1e4 * (slider / 100) ** even) / 1e4;
export const sliderOf = (light: number): number => 100 * Math.max(0, light) ** (1 / even);

// share writes a share of light as files do.
export function share(light: number): string {
  const p = 100 * light;
  return `${p >= 10 || p === 0 ? Math.round(p) : +p.toPrecision(2)} %`;
}
