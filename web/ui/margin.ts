// Findings as a proof-reader marks them: a sign, a span of seconds, a remark.
import type { Finding } from "./api";
import { clock } from "./clock";
import { h, svg } from "./dom";
import { plain, who } from "./plain";

// The three signs, in a square of 20: a loop that strikes out, a caret that
// asks for a change, a query in a ring.
const signs: Record<string, string> = {
  stop: "M2 16C9 15 17 9 14 4.5C12 1.5 7 4 8.5 8C10 12 16 13 18 18",
  warn: "M3 17L10 4L17 17",
  note: "M10 2a8 8 0 1 0 .01 0M7.4 8C7.4 4.6 12.8 4.8 12.6 8C12.5 10 10 9.9 10 12.2M10 14.6v.6",
};

export const words: Record<string, string> = { stop: "Stop", warn: "Warning", note: "Note" };

export function sign(severity: string): SVGSVGElement {
  return svg("svg", { class: "sign " + severity, viewBox: "0 0 20 20", width: 20, height: 20, role: "img", "aria-label": words[severity] ?? severity },
    svg("path", { d: signs[severity] ?? signs["note"] }));
}

// measure says what was measured against what.
export function measure(f: Finding): string {
  return f.measured ?? "";
}

export function when(f: Finding): string {
  return f.to - f.from > 0.05 ? `${clock(f.from, 1)} to ${clock(f.to, 1)}` : clock(f.from, 1);
}

// remark is a finding in a sentence, with what helps; its figures are there for who asks.
export function remark(f: Finding, withTime: boolean, others: readonly Finding[] = []): HTMLElement {
  const says = plain(f, others), lines = [says === f.text ? "" : f.text, measure(f), f.source].filter(Boolean);
  const named = others.length === 0 && says.includes(who(f)); // the sentence has said it
  const where = [withTime && f.to > 0 ? when(f) : "", named ? "" : f.place].filter(Boolean).join(" · ");
  return h("div", { class: `remark ${f.severity}${f.signed ? " signed" : ""}`, "data-finding": f.id },
    sign(f.severity),
    h("p", { class: "says" }, says),
    where && h("p", { class: "measure" }, where),
    f.hint && h("p", { class: "hint" }, (f.lacks ? "" : "try: ") + f.hint),
    f.signed && h("p", { class: "hint" }, `stet: signed by ${f.signed}`),
    lines.length > 0 && h("details", { class: "figures" }, h("summary", {}, measure(f) ? "figures" : "source"), ...lines.map((l) => h("p", {}, l))));
}
