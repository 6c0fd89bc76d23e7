// What a page writes into the show's files, and takes back.
import type { Edited, Edits } from "./api";
import { answer } from "./data";
import { send } from "./key";

// Written is a value as a file has it: a text, a list, or keys with values; null is none.
export type Written = string | null | readonly Written[] | { readonly [key: string]: Written };

export type Step = string | number | Readonly<Record<string, string>>;
export type Change = { file: string; do: "set" | "add" | "cut" | "move" | "rename" | "take out"; at: readonly Step[]; was?: Written; to?: Written };

// NotAsSeen is that somebody changed meanwhile what was to be changed.
export class NotAsSeen extends Error {
  constructor(text: string, readonly is: Written) {
    super(text);
    this.name = "NotAsSeen";
  }
}

// edit has the program write something, and answers what the edit is.
export async function edit(path: string, body?: unknown): Promise<Edited> {
  const r = await send(path, { method: "POST", ...(body !== undefined && { body: JSON.stringify(body) }) }).catch(() => undefined);
  if (!r) throw new Error("The program did not answer, so this is perhaps not written: is lampblack still running?");
  if (r.ok) return (await r.json()) as Edited;
  const text = (await r.text()).trim();
  if (r.status === 409 && text.startsWith("{")) {
    const other = JSON.parse(text) as { text: string; is: Written };
    throw new NotAsSeen(other.text, other.is);
  }
  throw new Error(text);
}

// write makes changes, all or none. Where one is refused the error says why, for a person.
export const write = (changes: readonly Change[]): Promise<Edited> => edit("/api/change", { changes });
export const takeBack = (): Promise<Edited> => edit("/api/edits/undo");
export const doAgain = (): Promise<Edited> => edit("/api/edits/redo");
export const edits = (): Promise<Edits> => answer<Edits>("/api/edits");

// written is what a file says at a place.
export const written = (file: string, at: readonly Step[] = []): Promise<Written> =>
  answer<Written>(`/api/written?file=${encodeURIComponent(file)}&at=${encodeURIComponent(JSON.stringify(at))}`);

// tried asks what changes would come to.
export async function tried(query: string, changes: readonly Change[]): Promise<Response> {
  const r = await send("/api/try?" + query, { method: "POST", body: JSON.stringify({ changes }) });
  if (!r.ok) throw new Error((await r.text()).trim());
  return r;
}

export const textOf = (v: Written | undefined): string => (typeof v === "string" ? v : "");

// keyOf is the value of a key.
export const keyOf = (v: Written, key: string): Written => (v && typeof v === "object" && !Array.isArray(v) ? (v as Readonly<Record<string, Written>>)[key] ?? null : null);
