// What the pages ask that come before a book: what there is, and how the questions stand.
import type { Answers, Asking, Begun, Shows, Table } from "./api";
import { answer } from "./data";
import { send } from "./key";

// Overtaken is that somebody else has changed meanwhile what was to be written.
export class Overtaken extends Error {
  constructor(text: string) {
    super(text);
    this.name = "Overtaken";
  }
}

type Told = { dir?: string; name?: string; in?: string; kind?: string; text?: string; seen?: string; asked?: number; answer?: Partial<Answers> };

async function tell<T>(what: string, body: Told): Promise<T> {
  const r = await send(`/api/begin/${what}`, { method: "POST", body: JSON.stringify(body) }).catch(() => undefined);
  if (!r) throw new Error("The program did not answer: is lampblack still running?");
  const text = r.ok ? "" : (await r.text()).trim();
  if (r.status === 409) throw new Overtaken(text);
  if (!r.ok) throw new Error(text);
  return (await r.json()) as T;
}

export const shows = (dir = ""): Promise<Shows> => answer<Shows>(`/api/begin/shows?dir=${encodeURIComponent(dir)}`);
export const asking = (dir: string): Promise<Asking> => answer<Asking>(`/api/begin/show?dir=${encodeURIComponent(dir)}`);
export const anew = (name: string, place: string, what: Answers["what"]): Promise<Begun> => tell("new", { name, in: place, answer: { what } });
export const opened = (dir: string): Promise<Begun> => tell("open", { dir });
export const demo = (kind: string, place: string, name: string): Promise<Begun> => tell("demo", { kind, in: place, name });
export const put = (dir: string, asked: number, seen: string, part: Partial<Answers>): Promise<Asking> => tell("answer", { dir, asked, seen, answer: part });
export const table = (text: string): Promise<Table> => tell("table", { text });
export const lamp = (dir: string, name: string, text: string): Promise<Asking> => tell("lamp", { dir, name, text });
export const act = (what: "places" | "listen" | "finish", dir: string): Promise<Begun> => tell(what, { dir });
export const stop = (dir: string, kind: string): Promise<Begun> => tell("stop", { dir, kind });
export const back = (dir: string, again: boolean): Promise<Asking> => tell(again ? "redo" : "undo", { dir });

const piece = 2 << 20; // octets

// bring sends a sound, piece by piece, and tells how much of it is there.
export async function bring(dir: string, file: File, tells: (share: number) => void, ends: AbortSignal): Promise<void> {
  for (let at = 0; at < file.size || at === 0; at += piece) {
    const body = file.slice(at, at + piece);
    if (ends.aborted) throw new Error("stopped");
    const of = new URLSearchParams({ dir, name: file.name, size: String(file.size), at: String(at) });
    const r = await send(`/api/begin/sound?${of}`, { method: "PUT", body }).catch(() => undefined);
    if (!r) throw new Error("The program did not answer: is lampblack still running?");
    if (!r.ok) throw new Error((await r.text()).trim());
    tells(Math.min(1, (at + body.size) / Math.max(1, file.size)));
  }
}
