/** From "these slots are open" to "from then, until then, and this is why not now"; see `boottop.job.verdict`. */

import type { Situation } from "./situation";
import { type Film, markAfter, opening, Rule, RULE_NAME, RULE_UNIT, slotAt } from "./slots";
import { WHY_TEXT } from "./words";

export interface WhyNot {
  rule: string;
  text: string;
  needed: number | null;
  had: number | null;
  unit: string;
}

export interface Verdict {
  kind: string;
  product: string | null;
  coat: number | null;
  from_s: number | null;
  until_s: number | null;
  why: WhyNot | null;
  because: string | null;
  touch_first: boolean;
  touch: string | null;
}

export interface Gate {
  from_s: number | null;
  until_s?: number | null;
  why?: WhyNot | null;
}

export interface Opened {
  from_s: number | null;
  until_s: number | null;
  why: WhyNot | null;
}

export const verdict = (kind: string, parts: Partial<Verdict> = {}): Verdict => ({
  kind,
  product: null,
  coat: null,
  from_s: null,
  until_s: null,
  why: null,
  because: null,
  touch_first: false,
  touch: null,
  ...parts,
});

export function becauseOf(key: string, needed_s: number | null = null, had_s: number | null = null): WhyNot {
  return {
    rule: key,
    text: WHY_TEXT[key] as string,
    needed: needed_s === null ? null : needed_s / 3600,
    had: had_s === null ? null : had_s / 3600,
    unit: needed_s === null ? "" : "h",
  };
}

export function ruleSays(place: Situation, rule: number, needed: number | null = null, had: number | null = null): WhyNot {
  return {
    rule: RULE_NAME[rule] as string,
    text: place.table.rules[rule] as string,
    needed,
    had,
    unit: needed === null ? "" : (RULE_UNIT[rule] as string),
  };
}

/** What the log itself closes now, whatever the weather says. */
export function liveClosure(place: Situation, film: boolean): WhyNot | null {
  if (place.state.raining && !place.sheltered()) return ruleSays(place, Rule.RAIN);
  const [margin_k, whence] = place.margin;
  if (film && whence === "reading" && margin_k !== null && margin_k < place.due.dew_margin_k)
    return ruleSays(place, Rule.DEW_MARGIN, place.due.dew_margin_k, margin_k);
  return null;
}

export function openWhen(
  place: Situation,
  starts: boolean[],
  gate: Gate,
  { live, closed }: { live: WhyNot | null; closed: WhyNot | null },
): Opened {
  const until = gate.until_s ?? null;
  const gateWhy = gate.why ?? null;
  if (gate.from_s === null) return { from_s: null, until_s: until, why: gateWhy };
  const table = place.table;
  let from_s = Math.max(gate.from_s, place.now_s);
  const waits = from_s > place.now_s;
  if (live && !waits)
    from_s = table.start_s + (Math.floor((from_s - table.start_s) / table.slot_s) + 1) * table.slot_s;
  const why = waits ? gateWhy : (live ?? closed);
  const found = opening(table, starts, from_s);
  if (!found) return { from_s: null, until_s: until, why: why ?? ruleSays(place, Rule.NO_WEATHER) };
  if (until !== null && found[0] > until) return { from_s: null, until_s: until, why: becauseOf("closes_before") };
  const until_s = until === null ? found[1] : Math.min(found[1], until);
  return { from_s: found[0], until_s, why: found[0] === place.now_s ? null : why };
}

/** Why a coat may not start in the slot of now, null where it may. */
export function whyNoCoat(place: Situation, film: Film, starts: boolean[]): WhyNot | null {
  const table = place.table;
  const slot = slotAt(table, place.now_s);
  if (slot === null) return ruleSays(place, Rule.NO_WEATHER);
  const inside = (place.now_s - table.start_s) % table.slot_s !== 0;
  if (starts[slot] && !(inside && !(slot + 1 < table.count && starts[slot + 1]))) return null;
  for (const first of inside ? [slot, slot + 1] : [slot]) {
    const why = whySlot(place, film, first);
    if (why) return why;
  }
  return becauseOf("one_day");
}

/** The first rule that closes a coat started with a slot. */
function whySlot(place: Situation, film: Film, slot: number): WhyNot | null {
  const count = place.table.count;
  const end = slot + film.slots;
  if (end > count) return ruleSays(place, Rule.NO_WEATHER);
  for (let at = slot; at < end; at++) {
    if (film.rules[at] !== 0) return ruleAt(place, film, film.rules[at] as number, at);
  }
  const safe = markAfter(film.system.rain_safe, end, film.cureFactor);
  const found = film.rains.indexOf(true, end);
  const rain = found < 0 ? count : found;
  if (safe <= rain && safe <= count) return null;
  if (rain === count) return ruleSays(place, Rule.NO_WEATHER);
  const hours = place.table.slot_s / 3600;
  return ruleSays(place, Rule.RAIN_BEFORE_SAFE, (safe - end) * hours, (rain - end) * hours);
}

/** The rule of the sheet or the weather that closes the slot of now, null where it is open. */
export function whySlotShut(place: Situation, film: Film): WhyNot | null {
  const slot = slotAt(place.table, place.now_s);
  if (slot === null) return ruleSays(place, Rule.NO_WEATHER);
  const rule = film.rules[slot] as number;
  return rule === 0 ? null : ruleAt(place, film, rule, slot);
}

function ruleAt(place: Situation, film: Film, rule: number, slot: number): WhyNot {
  if (rule !== Rule.DEW_MARGIN) return ruleSays(place, rule);
  const had_k = (film.system.margin_k[slot] as number) + (film.bias_k[slot] as number);
  return ruleSays(place, rule, film.system.dew_margin_k, had_k);
}
