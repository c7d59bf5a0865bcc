/** What touch tests teach of the film, and infrared readings of the surface; see `boottop.job.learn`. */

import { compareText } from "./events";
import { slotAt, timeAfter } from "./slots";
import type { Coat, State } from "./state";
import type { System, Table } from "./table";

export interface FilmClock {
  product: string;
  factor: number;
  tests: number;
  text: string;
}

export interface SurfaceBias {
  zone: string;
  bias_k: number;
  at_s: number;
  readings: number;
  text: string;
}

export interface Learned {
  clocks: FilmClock[];
  surfaces: SurfaceBias[];
}

const FACTOR_BOUNDS = [0.5, 2] as const;
const SURFACE_GAIN = 0.8;
const BIAS_MAX_K = 10;
const HALVES_AFTER_S = 43_200;

export function factorOf(learned: Learned, product: string): number {
  return learned.clocks.find((clock) => clock.product === product)?.factor ?? 1;
}

export function biasOf(learned: Learned, zone: string, at_s: number): number {
  const found = learned.surfaces.find((one) => one.zone === zone);
  return found ? biasAt(found.bias_k, at_s - found.at_s) : 0;
}

/** What is left of a bias after so many seconds: half of it every 12 h, in straight lines. */
export function biasAt(bias_k: number, age_s: number): number {
  if (age_s <= 0) return bias_k;
  const halvings = Math.floor(age_s / HALVES_AFTER_S);
  if (halvings >= 60) return 0;
  const share = (age_s - halvings * HALVES_AFTER_S) / HALVES_AFTER_S;
  return bias_k * 2 ** -halvings * (1 - 0.5 * share);
}

export function learn(state: State, table: Table): Learned {
  return { clocks: clocks(state, table), surfaces: surfaces(state, table) };
}

interface Seen {
  finished_s: number;
  zone: string;
  least: number;
  most: number | null;
}

function clocks(state: State, table: Table): FilmClock[] {
  const touched = new Map<string, Seen[]>();
  for (const zone of table.zones) {
    const done = state.zones.find((one) => one.zone === zone.name);
    for (const system of zone.systems) {
      const seen = touched.get(system.product) ?? [];
      touched.set(system.product, seen);
      for (const coat of done?.coats ?? []) {
        const found = coat.product === system.product ? bounds(table, system, coat) : null;
        if (found) seen.push({ finished_s: coat.finished_s ?? 0, zone: zone.name, ...found });
      }
    }
  }
  const found: FilmClock[] = [];
  for (const [product, coats] of touched) {
    if (!coats.length) continue;
    coats.sort((one, other) => one.finished_s - other.finished_s || compareText(one.zone, other.zone));
    const factor = coats.reduce((believed, seen) => updated(believed, seen), 1);
    found.push({ product, factor, tests: coats.length, text: filmText(factor) });
  }
  return found;
}

function bounds(table: Table, system: System, coat: Coat): { least: number; most: number | null } | null {
  const finished_s = coat.finished_s;
  if (finished_s === null) return null;
  const marks = system.ready_middle.length ? system.ready_middle : system.ready;
  const workedOut_s = timeAfter(table, marks, finished_s, 1);
  const touches = coat.touch.filter((touch) => touch.at_s >= finished_s);
  if (workedOut_s === null || workedOut_s <= finished_s || !touches.length) return null;
  const lag = (touch: { at_s: number }): number => touch.at_s - finished_s;
  const tacky = touches.filter((touch) => touch.verdict !== "wet").map(lag);
  const tacky_s = tacky.length ? Math.min(...tacky) : null;
  const wet = touches.filter((touch) => touch.verdict === "wet" && (tacky_s === null || lag(touch) < tacky_s)).map(lag);
  const span_s = workedOut_s - finished_s;
  return { least: Math.max(0, ...wet) / span_s, most: tacky_s === null ? null : tacky_s / span_s };
}

function updated(factor: number, { least, most }: Seen): number {
  let nearest: number;
  if (most !== null && factor > most) nearest = least > 0 ? Math.sqrt(least * most) : most;
  else if (factor < least) nearest = most === null ? least : Math.sqrt(least * most);
  else return factor;
  return Math.min(Math.max(Math.sqrt(factor * nearest), FACTOR_BOUNDS[0]), FACTOR_BOUNDS[1]);
}

function filmText(factor: number): string {
  const percent = Math.trunc(Math.abs(factor - 1) * 100 + 0.5);
  if (percent === 0) return "your film keeps the sheet's time today";
  return `your film is ${percent} % ${factor > 1 ? "slower" : "faster"} than the sheet today`;
}

function surfaces(state: State, table: Table): SurfaceBias[] {
  const found: SurfaceBias[] = [];
  for (const { name, systems } of table.zones) {
    let [bias_k, at_s, readings] = [0, 0, 0];
    for (const reading of state.readings) {
      const slot = slotAt(table, reading.at_s);
      if (reading.zone !== name || reading.surface_c === null || slot === null) continue;
      const left_k = readings ? biasAt(bias_k, reading.at_s - at_s) : 0;
      bias_k = left_k + SURFACE_GAIN * (reading.surface_c - ((systems[0] as System).surface_c[slot] as number) - left_k);
      bias_k = Math.min(Math.max(bias_k, -BIAS_MAX_K), BIAS_MAX_K);
      [at_s, readings] = [reading.at_s, readings + 1];
    }
    if (readings) found.push({ zone: name, bias_k, at_s, readings, text: surfaceText(name, bias_k) });
  }
  return found;
}

function surfaceText(zone: string, bias_k: number): string {
  const tenths = Math.trunc(Math.abs(bias_k) * 10 + 0.5);
  if (tenths === 0) return `${zone} is as warm as worked out`;
  const side = bias_k > 0 ? "warmer" : "colder";
  return `${zone} is ${Math.floor(tenths / 10)}.${tenths % 10} K ${side} than worked out`;
}
