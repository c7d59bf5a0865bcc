/** Events of a job as they come over the wire; the names are those of `boottop.job.events`. */

export type Json = string | number | boolean | null | Json[] | { [key: string]: Json };

export interface Event {
  id: string;
  kind: string;
  happened: string;
  recorded: string;
  device: string;
  order: number;
  who: string;
  zone: string | null;
  data: { [name: string]: Json };
}

export interface EventKind {
  label: string;
  zoned: boolean;
  /** Name to type word; a "?" at its end makes the field optional. */
  fields: { [name: string]: string };
}

const kind = (label: string, zoned: boolean, fields: { [name: string]: string } = {}): EventKind => ({
  label,
  zoned,
  fields,
});

export const EVENT_KINDS: { [kind: string]: EventKind } = {
  hauled_out: kind("Hauled out", false),
  washed: kind("Washed", false),
  stripped: kind("Stripped", true),
  abraded: kind("Abraded", true, { grit: "count?" }),
  masked: kind("Masked", true),
  wiped: kind("Wiped clean", true, { cleaner: "text?" }),
  batch_mixed: kind("Batch mixed", false, {
    product: "text",
    kit: "text?",
    lots: "lots?",
    litres: "number",
    batch_c: "number?",
  }),
  batch_done: kind("Batch used up or thrown away", false, { batch: "id", thrown_l: "number?" }),
  coat_started: kind("Coat started", true, { product: "text", coat: "count", people: "count?" }),
  coat_finished: kind("Coat finished", true, {
    product: "text",
    coat: "count",
    people: "count?",
    litres: "number?",
  }),
  touch_test: kind("Touch test", true, { product: "text", coat: "count", verdict: "choice:wet|tacky|past tacky" }),
  reading: kind("Reading", false, {
    air_c: "number?",
    humidity: "number?",
    surface_c: "number?",
    wet_film_um: "number?",
  }),
  rain: kind("Rain", false, { what: "choice:began|ended" }),
  stands_moved: kind("Stands moved", false, { stand_set: "count" }),
  other_work: kind("Other work done", false, { work: "text" }),
  activated: kind("Sanded to bare copper", true, { grit: "count?" }),
  launched: kind("Launched", false),
  photo: kind("Photograph", false, { sha256: "text", name: "text", bytes: "count" }),
  note: kind("Note", false, { text: "text" }),
  correction: kind("Correction", false, { corrects: "id", strike: "choice:yes|no", happened: "text?" }),
};

/** Fields of a correction that say what it does; the others replace those of the event it names. */
export const NOT_CORRECTED = ["corrects", "strike", "happened"];

const TIME = /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d)(?:\.(\d{1,6}))?(Z|[+-]\d\d:\d\d)$/;

/** Whole epoch milliseconds of an RFC 3339 text, cut off; null if it is none. */
export function parseTime(text: string): number | null {
  const found = TIME.exec(text);
  if (!found) return null;
  const [year, month, day, hour, minute, second] = found.slice(1, 7).map(Number) as [
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  const at = new Date(0);
  at.setUTCFullYear(year, month - 1, day);
  at.setUTCHours(hour, minute, second, Number((found[7] ?? "").padEnd(3, "0").slice(0, 3)));
  const fits = at.getUTCDate() === day && at.getUTCMonth() === month - 1 && hour < 24 && minute < 60 && second < 60;
  if (!fits) return null;
  const zone = found[8] as string;
  if (zone === "Z") return at.getTime();
  const away = Number(zone.slice(1, 3)) * 60 + Number(zone.slice(4, 6));
  return at.getTime() - (zone.startsWith("-") ? -1 : 1) * away * 60_000;
}

/** RFC 3339 in UTC to the millisecond. */
export function timeText(at_ms: number): string {
  return new Date(at_ms).toISOString();
}

/** Order of two texts by code point, as Python has it; JavaScript's own `<` goes by UTF-16 units. */
export function compareText(one: string, other: string): number {
  const length = Math.min(one.length, other.length);
  for (let at = 0; at < length; at++) {
    if (one.charCodeAt(at) !== other.charCodeAt(at)) {
      const start = at > 0 && isLow(one, at) && isLow(other, at) ? at - 1 : at;
      return (one.codePointAt(start) as number) - (other.codePointAt(start) as number);
    }
  }
  return one.length - other.length;
}

const isLow = (text: string, at: number): boolean => (text.charCodeAt(at) & 0xfc00) === 0xdc00;
