/** Open batches and what is left in the tins; see `boottop.job.stock`. */

import { HAIR, slotAt } from "./slots";
import type { Batch, Coat, State } from "./state";
import type { System, Table } from "./table";

export interface BatchClock {
  batch: string;
  product: string;
  litres: number;
  mixed_s: number;
  use_by_s: number;
  gone_s: number;
  stir_s: number | null;
  batch_c: number;
  measured: boolean;
}

export interface Litres {
  product: string;
  bought_l: number;
  mixed_l: number;
  in_pots_l: number;
  left_l: number;
  needed_l: number;
  used_ratio: number;
  enough: boolean;
}

const MILD_C = 20;
const USED_BOUNDS = [0.5, 2] as const;

export function batchClocks(state: State, table: Table, now_s: number): BatchClock[] {
  const systems = systemsOf(table);
  return state.batches.flatMap((batch) => {
    const system = systems.get(batch.product);
    return batch.done_s === null && system ? [clock(batch, system, table, now_s)] : [];
  });
}

export function systemsOf(table: Table): Map<string, System> {
  const found = new Map<string, System>();
  for (const zone of table.zones) {
    for (const system of zone.systems) if (!found.has(system.product)) found.set(system.product, system);
  }
  return found;
}

function clock(batch: Batch, system: System, table: Table, now_s: number): BatchClock {
  const batch_c = batch.batch_c ?? assumed(table, batch.mixed_s);
  const life_min = potLife(system.pot_life_min, batch_c);
  return {
    batch: batch.id,
    product: batch.product,
    litres: batch.litres,
    mixed_s: batch.mixed_s,
    use_by_s: batch.mixed_s + Math.trunc(life_min * 60 * system.usable_pot_life + HAIR),
    gone_s: batch.mixed_s + Math.trunc(life_min * 60 + HAIR),
    stir_s: stir(batch.mixed_s, system.stir_every_min, now_s),
    batch_c,
    measured: batch.batch_c !== null,
  };
}

function assumed(table: Table, at_s: number): number {
  const slot = slotAt(table, at_s);
  if (slot === null) return MILD_C;
  return Math.max(MILD_C, ...table.zones.flatMap((zone) => zone.systems.map((one) => one.surface_c[slot] as number)));
}

function stir(mixed_s: number, every_min: number, now_s: number): number | null {
  const every_s = Math.trunc(every_min * 60);
  if (every_s < 1) return null;
  return mixed_s + Math.max(1, Math.ceil((now_s - mixed_s) / every_s)) * every_s;
}

/** Minutes: straight between the pairs of the table, the end value outside them. */
export function potLife(pairs: [number, number][], batch_c: number): number {
  const [first, ...others] = pairs;
  let [low_c, low_min] = first as [number, number];
  if (batch_c <= low_c) return low_min;
  for (const [high_c, high_min] of others) {
    if (batch_c <= high_c) return low_min + (high_min - low_min) * ((batch_c - low_c) / (high_c - low_c));
    [low_c, low_min] = [high_c, high_min];
  }
  return low_min;
}

export function litresOf(state: State, table: Table): Litres[] {
  const bought = new Map(table.stock.map((stock) => [stock.product, stock.litres]));
  const mixed = new Map(state.materials.map((material) => [material.product, material.mixed_l]));
  return [...systemsOf(table).keys()].map((product) => {
    const used_ratio = usedRatio(state, table, product);
    const pots = state.batches.filter((batch) => batch.product === product && batch.done_s === null);
    const in_pots_l = pots.reduce((sum, batch) => sum + batch.litres, 0);
    const [bought_l, mixed_l] = [bought.get(product) ?? 0, mixed.get(product) ?? 0];
    const left_l = Math.max(0, bought_l - mixed_l);
    const needed_l = dueLitres(state, table, product) * used_ratio;
    const enough = left_l + in_pots_l >= needed_l - HAIR;
    return { product, bought_l, mixed_l, in_pots_l, left_l, needed_l, used_ratio, enough };
  });
}

/** Every system of a product with its finished coats, zone by zone. */
function finished(state: State, table: Table, product: string): [System, Coat[]][] {
  return table.zones.flatMap((zone) => {
    const coats = state.zones.find((one) => one.zone === zone.name)?.coats ?? [];
    const done = coats.filter((coat) => coat.product === product && coat.finished_s !== null);
    return zone.systems
      .filter((system) => system.product === product)
      .map((system): [System, Coat[]] => [system, done]);
  });
}

function dueLitres(state: State, table: Table, product: string): number {
  let due_l = 0;
  for (const [system, coats] of finished(state, table, product)) {
    const highest = Math.max(0, ...coats.map((coat) => coat.coat));
    due_l += Math.max(0, system.coats - highest) * system.litres_per_coat;
  }
  return due_l;
}

function usedRatio(state: State, table: Table, product: string): number {
  let [planned_l, used_l] = [0, 0];
  for (const [system, coats] of finished(state, table, product)) {
    for (const { litres } of coats) {
      if (litres !== null) [planned_l, used_l] = [planned_l + system.litres_per_coat, used_l + litres];
    }
  }
  const ratio = planned_l > 0 && used_l > 0 ? used_l / planned_l : 1;
  return Math.min(Math.max(ratio, USED_BOUNDS[0]), USED_BOUNDS[1]);
}
