/** The board table as Python sends it, its long lists as runs; see `boottop.job.board` and `boottop.job.coding`. */

export interface System {
  product: string;
  role: string;
  coats: number;
  coat_slots: number;
  one_day: boolean;
  litres_per_coat: number;
  ready: number[];
  overcoat_until: number[];
  rain_safe: number[];
  stands_safe: number[];
  immersion: number[];
  rule: number[];
  margin_k: number[];
  surface_c: number[];
  dew_margin_k: number;
  pot_life_min: [number, number][];
  usable_pot_life: number;
  stir_every_min: number;
  activation: boolean;
  activation_before_launch_h: number | null;
  ready_middle: number[];
  sheltered: number[];
}

export interface Zone {
  name: string;
  kind: string;
  side: string;
  area_m2: number;
  waits_for_stands: number | null;
  systems: System[];
  steps: string[];
  dry_h: number;
}

export interface Task {
  key: string;
  kind: string;
  label: string;
  zone: string | null;
  coat: number | null;
  start_s: number;
  end_s: number;
}

export interface Table {
  job: string;
  boat: string;
  made_s: number;
  start_s: number;
  slot_s: number;
  count: number;
  zone_name: string;
  weather: string;
  weather_age_h: number | null;
  rain_mm: number[];
  zones: Zone[];
  tasks: Task[];
  /** `parts`: names of the parts of its mix, A first; a board of before does not have them. */
  stock: { product: string; litres: number; parts?: string[] }[];
  rules: string[];
  midnights: number[];
  wipe_holds_h: number;
  cost_minor: number | null;
  currency: string;
}

/** Names of the jobs of the sheet that are no part of the coating, as the plan has them. */
export const ownJobs = (table: Table): string[] =>
  table.tasks.filter((task) => task.kind === "extra").map((task) => task.key.slice("extra/".length));

type Run = [value: number, length: number];

/** Lists by mark come as runs of (mark reached - mark finished), those by slot as runs of their values. */
const MARKS = ["ready", "ready_middle", "overcoat_until", "rain_safe", "stands_safe", "immersion"];
const LEVELS = ["rule", "margin_k", "surface_c"];

export type WireTable = { [key in keyof Table]: unknown };

export function tableOf(wire: WireTable): Table {
  const found = { ...wire } as unknown as Table;
  found.rain_mm = levels(wire.rain_mm as Run[]);
  found.zones = (wire.zones as { [key: string]: unknown }[]).map((zone) => ({
    ...(zone as unknown as Zone),
    systems: (zone["systems"] as { [key: string]: unknown }[]).map(systemOf),
  }));
  return found;
}

function systemOf(wire: { [key: string]: unknown }): System {
  const found: { [key: string]: unknown } = { ...wire };
  for (const name of MARKS) found[name] = levels(wire[name] as Run[]).map((lag, index) => lag + index);
  for (const name of LEVELS) found[name] = levels(wire[name] as Run[]);
  return found as unknown as System;
}

function levels(runs: Run[]): number[] {
  const found: number[] = [];
  for (const [value, length] of runs) for (let left = length; left > 0; left--) found.push(value);
  return found;
}
