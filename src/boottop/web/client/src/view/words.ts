/** Sentences of the trade for events, steps and states. */

import { MINUTE_S, span, type YardTime } from "../core/times";
import { scaleOf, shown, withUnit, type Units } from "../core/units";
import { EVENT_KINDS, type Event, type Json } from "../rules/events";
import type { SurfaceBias } from "../rules/learn";
import type { NextStep } from "../rules/nextStep";
import type { Coat, State, ZoneState } from "../rules/state";
import type { Zone } from "../rules/table";
import type { WhyNot } from "../rules/verdict";
import { STEP_TEXT } from "../rules/words";

export const TOUCH_WORDS: { [verdict: string]: string } = {
  wet: "comes off on the glove",
  tacky: "grips the glove, nothing comes off",
  "past tacky": "no grip, no print",
};

export const LABEL: { [field: string]: string } = {
  product: "Product",
  coat: "Coat",
  people: "People rolling",
  kit: "Kit number",
  lots: "Lot numbers",
  batch_c: "Temperature of the mix",
  batch: "Which pot",
  thrown_l: "Thrown away",
  verdict: "By touch it is",
  air_c: "Air",
  humidity: "Humidity",
  surface_c: "Surface (infrared)",
  wet_film_um: "Wet film (comb)",
  what: "Rain",
  stand_set: "Set of stands",
  grit: "Grit",
  cleaner: "Wiped with",
  work: "What was done",
  text: "Note",
};

function short(field: string, value: Json, units: Units): string {
  if (typeof value !== "number") return String(value);
  return `${shown(field, value, units)} ${scaleOf(field, units).unit}`.trim();
}

/** One line on an event: "Coat 2 finished, hull copper, 1.2 L". */
export function eventLine({ kind, data }: Event, units: Units): string {
  const has = (field: string): boolean => data[field] !== undefined && data[field] !== null;
  const value = (field: string): string => short(field, data[field] as Json, units);
  const parts = [headline(kind, value)];
  for (const field of ["product", "litres", "cleaner", "work", "text"]) if (has(field)) parts.push(value(field));
  if (has("grit")) parts.push(`grit ${value("grit")}`);
  if (has("thrown_l")) parts.push(`${value("thrown_l")} thrown away`);
  if (has("people")) parts.push(data["people"] === 1 ? "1 person" : `${value("people")} people`);
  if (has("batch_c")) parts.push(value("batch_c"));
  for (const [field, word] of Object.entries({ air_c: "air", surface_c: "surface", wet_film_um: "wet film" }))
    if (has(field)) parts.push(`${word} ${value(field)}`);
  if (has("humidity")) parts.push(`humidity ${value("humidity")}`);
  return parts.join(", ");
}

function headline(kind: string, value: (field: string) => string): string {
  if (kind === "coat_started") return `Coat ${value("coat")} started`;
  if (kind === "coat_finished") return `Coat ${value("coat")} finished`;
  if (kind === "touch_test") return `Coat ${value("coat")} ${value("verdict")} by touch`;
  if (kind === "rain") return `Rain ${value("what")}`;
  if (kind === "stands_moved") return `Stands moved, set ${value("stand_set")}`;
  return EVENT_KINDS[kind]?.label ?? kind;
}

/** "Roll coat 2 of 4", "Dust off and wipe". */
export function stepWords(step: NextStep, zone: Zone): string {
  const coats = zone.systems.find((one) => one.product === step.product)?.coats;
  const number = coats ? `${step.coat} of ${coats}` : String(step.coat);
  if (step.kind === "coat") return `Roll coat ${number}`;
  if (step.kind === "finish") return `Coat ${number} finished`;
  if (step.kind === "move_stands") return `${STEP_TEXT["move_stands"]} (set ${zone.waits_for_stands})`;
  return STEP_TEXT[step.kind] ?? step.kind;
}

const hours = (value: number): string => (value < 1 ? `${Math.max(0, Math.round(value * 60))} min` : span(value * 3600));

/** What is to come here instead of a coat, empty where a coat is next. */
function notNow(step: NextStep, zone: Zone): string {
  if (step.kind === "coat") return "";
  if (step.kind === "done") return "the boat is afloat";
  if (step.kind === "activate" || step.kind === "launch") return "all coats of the sheet are on";
  return `next here is “${stepWords(step, zone)}”`;
}

/** What is to be known before a coat is begun here: why the board says not now, and that there is nothing to roll. */
export function coatNote(step: NextStep, zone: Zone, product: string, { batches }: State, units: Units): string | null {
  const says = notNow(step, zone);
  const why = step.why_not && !step.may_now ? whyWords(step.why_not, units) : "";
  const notes = says || why ? [`The board says not now: ${[says, why].filter(Boolean).join("; ")}.`] : [];
  if (!batches.some((one) => one.product === product && one.done_s === null)) notes.push("No batch is open.");
  return notes.length ? notes.join(" ") : null;
}

/** "the film is too soft to sand: 20 h 00 needed, 3 h 05 so far". */
export function whyWords(why: WhyNot, units: Units): string {
  if (why.needed === null || why.had === null) return why.text;
  if (why.unit === "h") {
    const had = why.rule === "rain_before_safe" ? "until the rain" : "so far";
    return `${why.text}: ${hours(why.needed)} needed, ${hours(why.had)} ${had}`;
  }
  if (why.unit !== "K") return why.text;
  const kelvin = (value: number): string => withUnit("difference", value, units);
  return `${why.text}: ${kelvin(why.needed)} needed, ${kelvin(why.had)} now`;
}

const PREPARED: ["wiped_s" | "masked_s" | "abraded_s" | "stripped_s", string][] = [
  ["wiped_s", "wiped"],
  ["masked_s", "masked"],
  ["abraded_s", "abraded"],
  ["stripped_s", "stripped"],
];

/** How far a zone has come, in one line. */
export function zoneWords(done: ZoneState | undefined, zone: Zone, state: State, at: (at_s: number) => string): string {
  const products = zone.systems.map((one) => one.product);
  const coats = (done?.coats ?? []).filter((coat) => coat.started_s !== null || coat.finished_s !== null);
  const top = coats.sort(
    (one, other) => products.indexOf(one.product) - products.indexOf(other.product) || one.coat - other.coat,
  ).at(-1);
  if (done?.activated_s && (!top?.finished_s || done.activated_s >= top.finished_s))
    return `Bare copper since ${at(done.activated_s)}`;
  if (top) return coatWords(top, zone, at);
  const [step, word] = PREPARED.find(([step]) => done?.[step]) ?? [];
  return step && done ? `Last ${word}, ${at(done[step] as number)}` : boatWords(zone, state, at);
}

/** What was done to the whole boat, for a zone that has had nothing of its own. */
function boatWords(zone: Zone, { stands, washed_s, hauled_s }: State, at: (at_s: number) => string): string {
  const moved = stands.find((one) => one.stand_set === zone.waits_for_stands);
  if (moved) return `Stands moved off it, ${at(moved.at_s)}`;
  if (washed_s !== null) return `Washed, ${at(washed_s)}`;
  return hauled_s === null ? "Nothing done here yet" : `Hauled out, ${at(hauled_s)}`;
}

function coatWords(coat: Coat, zone: Zone, at: (at_s: number) => string): string {
  const system = zone.systems.find((one) => one.product === coat.product);
  const of = system ? ` of ${system.coats}` : "";
  const name = zone.systems.length > 1 ? `${coat.product}: coat` : "Coat";
  if (coat.finished_s === null) return `${name} ${coat.coat}${of} being rolled since ${at(coat.started_s ?? 0)}`;
  const touch = coat.touch.at(-1);
  const felt = touch ? `; ${touch.verdict} at ${at(touch.at_s)}` : "";
  return `${name} ${coat.coat}${of} on since ${at(coat.finished_s)}${felt}`;
}

/** "port side is 2.4 K warmer than worked out", in the person's units. */
export function surfaceWords(one: SurfaceBias, units: Units): string {
  if (units === "metric") return one.text;
  const much = withUnit("difference", Math.abs(one.bias_k), units);
  if (much.startsWith("0 ")) return `${one.zone} is as warm as worked out`;
  return `${one.zone} is ${much} ${one.bias_k < 0 ? "colder" : "warmer"} than worked out`;
}

/** "2 h old" or "12 min old". */
export function age(seconds: number): string {
  if (seconds < 90 * MINUTE_S) return `${Math.max(0, Math.round(seconds / MINUTE_S))} min old`;
  return seconds < 172_800 ? `${Math.round(seconds / 3600)} h old` : `${Math.round(seconds / 86_400)} days old`;
}

/** The yard's time of a moment, with its day where that is not today. */
export const atOf =
  (yard: YardTime, now_s: number) =>
  (at_s: number): string =>
    yard.at(at_s, now_s);
