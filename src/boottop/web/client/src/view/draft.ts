/** From what stands in the fields to the data of an event, and back. */

import type { Screen } from "./context";
import { LOT_PARTS, type Values } from "./Fields";
import type { Moment } from "./When";
import { shown, typed, type Units } from "../core/units";
import { EVENT_KINDS, type Event, type Json } from "../rules/events";
import { ownJobs } from "../rules/table";

export type Data = { [field: string]: Json };
export type Errors = { [field: string]: string };

const NUMBERS = ["number", "count"];

const fieldsOf = (kind: string): [string, string][] => Object.entries(EVENT_KINDS[kind]?.fields ?? {});

/** What the fields show of known data. */
export function valuesOf(kind: string, data: Data, units: Units): Values {
  const values: Values = {};
  for (const [field, word] of fieldsOf(kind)) {
    const value = data[field];
    if (value === undefined || value === null) continue;
    if (word.startsWith("lots")) {
      for (const part of LOT_PARTS) values[`lot ${part}`] = String((value as Data)[part] ?? "");
    } else values[field] = NUMBERS.includes(word.replace("?", "")) ? shown(field, Number(value), units) : String(value);
  }
  return values;
}

/** The data of what was typed, and what is wrong by field. `was`: what is left as it was keeps every digit. */
export function dataOf(kind: string, values: Values, units: Units, was: Data = {}): { data: Data; errors: Errors } {
  const before = valuesOf(kind, was, units);
  const data: Data = {};
  const errors: Errors = {};
  for (const [field, word] of fieldsOf(kind)) {
    const text = (values[field] ?? "").trim();
    const known = was[field] ?? null;
    if (word.startsWith("lots")) {
      const lots = lotsOf(values, known);
      if (Object.keys(lots).length) data[field] = lots;
    } else if (!text) {
      if (!word.endsWith("?")) errors[field] = "This is needed.";
    } else if (known !== null && text === before[field]) data[field] = known;
    else if (NUMBERS.includes(word.replace("?", ""))) {
      try {
        data[field] = typed(field, text, units);
      } catch (error) {
        errors[field] = (error as Error).message;
      }
    } else data[field] = text;
  }
  const nothing = !Object.keys(data).length && !Object.keys(errors).length;
  if (kind === "reading" && nothing) errors["air_c"] = "Write down at least one reading.";
  return { data, errors };
}

function lotsOf(values: Values, was: Json): Data {
  const lots: Data = was !== null && typeof was === "object" && !Array.isArray(was) ? { ...was } : {};
  for (const part of LOT_PARTS) {
    const lot = (values[`lot ${part}`] ?? "").trim();
    if (lot) lots[part] = lot;
    else delete lots[part];
  }
  return lots;
}

/** Epoch milliseconds of what the "When" box says; undefined for now, an Error where the yard's clock never shows it. */
export function momentOf(moment: Moment, { yard, store }: Screen): number | undefined {
  const now_ms = store.clock.now_ms();
  if (!moment.field) return moment.ago_min ? now_ms - moment.ago_min * 60_000 : undefined;
  const found = yard.moments(moment.field);
  const at_ms = found[moment.second ? found.length - 1 : 0];
  if (at_ms === undefined) throw new Error("The yard's clock skips that time: the clocks went forward.");
  if (at_ms > now_ms) throw new Error("That is still to come. Write down what has happened.");
  return at_ms;
}

/** What a correction must carry so that `original` comes to say all that is wanted: of several it holds alone. */
export function correctionOf(original: Event, data: Data, happened: string): Data {
  const carried: Data = { corrects: original.id, strike: "no" };
  for (const name of new Set([...Object.keys(original.data), ...Object.keys(data)])) {
    if (JSON.stringify(original.data[name]) !== JSON.stringify(data[name])) carried[name] = data[name] ?? null;
  }
  if (happened !== original.happened) carried["happened"] = happened;
  return carried;
}

/** What is filled in before the person types: kit, lots and litres of the last batch, as many people as last time. */
export function usual(kind: string, preset: Data, screen: Screen): Data {
  const { state, table, board } = screen;
  const fields = EVENT_KINDS[kind]?.fields ?? {};
  const found: Data = {};
  if ("product" in fields) {
    const products = [...new Set(table.zones.flatMap((zone) => zone.systems.map((one) => one.product)))];
    const next = board.steps.find((step) => step.kind === "coat" || step.kind === "finish")?.product;
    if (kind === "batch_mixed") found["product"] = next ?? products[0] ?? "";
    else if (products.length === 1) found["product"] = products[0] ?? "";
  }
  if (kind === "batch_mixed") {
    const last = state.batches.findLast((one) => one.product === found["product"]);
    if (last?.kit) found["kit"] = last.kit;
    if (last) [found["lots"], found["litres"]] = [{ ...last.lots }, last.litres];
  }
  const open = state.batches.filter((one) => one.done_s === null);
  if (kind === "batch_done" && open.length === 1) found["batch"] = open[0]?.id ?? "";
  const undone = kind === "other_work" ? ownJobs(table).filter((name) => !state.work.some((one) => one.name === name)) : [];
  if (undone.length === 1) found["work"] = undone[0] ?? "";
  const people = "people" in fields ? lastPeople(screen) : null;
  if (people !== null) found["people"] = people;
  return { ...found, ...preset };
}

function lastPeople({ state }: Screen): number | null {
  const coats = state.zones.flatMap((one) => one.coats).filter((coat) => coat.people !== null);
  coats.sort((one, other) => (one.started_s ?? one.finished_s ?? 0) - (other.started_s ?? other.finished_s ?? 0));
  return coats.at(-1)?.people ?? null;
}
