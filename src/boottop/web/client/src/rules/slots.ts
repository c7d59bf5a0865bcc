/** Slots of the board table that are open to a piece of work, and the times that follow from a finished coat; see
 * `boottop.job.slots`. Whole seconds, divisions rounded down or up on purpose, to the same last digit as Python. */

import type { System, Table } from "./table";

export const HAIR = 1e-9;

/** Numbers of `boottop.windows.windows.Rule` that this rule speaks of. */
export const Rule = { OPEN: 0, NO_WEATHER: 1, RAIN: 2, WET_SURFACE: 3, DEW_MARGIN: 4, RAIN_BEFORE_SAFE: 12 } as const;
export const RULE_NAME = [
  "open",
  "no_weather",
  "rain",
  "wet_surface",
  "dew_margin",
  "humidity",
  "surface_cold",
  "surface_hot",
  "air_cold",
  "air_hot",
  "falling_to_dew",
  "outside_hours",
  "rain_before_safe",
  "dark",
];
export const RULE_UNIT = ["K", "h", "mm", "h", "K", "fraction", "degC", "degC", "degC", "degC", "K", "", "h", "deg"];
export const WATER: number[] = [Rule.NO_WEATHER, Rule.RAIN, Rule.WET_SURFACE];

/** One coating on one zone with what was learned: `factor` on its times, `bias_k` by slot on its surface. */
export class Film {
  #rules?: number[];
  #rains?: boolean[];
  #starts?: boolean[];
  #first?: boolean[];

  constructor(
    readonly table: Table,
    readonly system: System,
    readonly factor: number,
    readonly bias_k: number[],
  ) {}

  get slots(): number {
    return Math.max(1, this.system.coat_slots);
  }

  get cureFactor(): number {
    return Math.max(1, this.factor);
  }

  /** The rule that closes each slot (0 open), the dew margin with the corrected surface. */
  get rules(): number[] {
    const { rule, margin_k, dew_margin_k } = this.system;
    return (this.#rules ??= rule.map((closes, slot) =>
      closes === 0 && num(margin_k, slot) + num(this.bias_k, slot) < dew_margin_k ? Rule.DEW_MARGIN : closes,
    ));
  }

  /** Slots in which rain reaches the zone. */
  get rains(): boolean[] {
    return (this.#rains ??= this.table.rain_mm.map((mm, slot) => mm > 0 && !underRoof(this.system, slot)));
  }

  /** Slots in which a coat may start: every rule open for as long as it takes, no rain until it is rain-safe. */
  get starts(): boolean[] {
    return (this.#starts ??= coatStarts(this));
  }

  /** Of those the starts of the first coat, where all coats are to fit into one day. */
  get firstStarts(): boolean[] {
    return (this.#first ??= firstCoatStarts(this));
  }
}

const num = (list: readonly number[], at: number): number => list[at] as number;

export function underRoof(system: System, slot: number): boolean {
  const [from, end] = system.sheltered;
  return from !== undefined && end !== undefined && from <= slot && slot < end;
}

function coatStarts(film: Film): boolean[] {
  const count = film.table.count;
  const shut = sums(film.rules.map((rule) => rule !== 0));
  const rained = sums(film.rains);
  return Array.from({ length: count }, (_, slot) => {
    const end = slot + film.slots;
    if (end > count || shut[end] !== shut[slot]) return false;
    const safe = markAfter(film.system.rain_safe, end, film.cureFactor);
    return safe <= count && rained[safe] === rained[end];
  });
}

function firstCoatStarts(film: Film): boolean[] {
  if (!film.system.one_day || film.system.coats < 2) return film.starts;
  const following = nextHolds(film.starts);
  return film.starts.map((open, slot) => open && dayFits(film, slot, following));
}

function dayFits(film: Film, slot: number, following: number[]): boolean {
  const { system, table } = film;
  let at = slot;
  for (let coat = 1; coat < system.coats; coat++) {
    const end = at + film.slots;
    const gate = markAfter(system.ready, end, film.factor);
    if (gate > table.count) return false;
    at = num(following, gate);
    const last = num(system.overcoat_until, end);
    if (at >= table.count) return false;
    if (last <= table.count && at > end + Math.floor((last - end) * film.factor + HAIR)) return false;
  }
  return at + film.slots <= dayEnd(table, slot);
}

function dayEnd(table: Table, slot: number): number {
  return table.midnights.find((mark) => mark > slot) ?? table.count;
}

export function markAfter(marks: number[], mark: number, factor: number): number {
  const beyond = marks.length;
  if (num(marks, mark) >= beyond) return beyond;
  return Math.min(beyond, mark + Math.ceil((num(marks, mark) - mark) * factor - HAIR));
}

/** When a coat finished at `at_s` reaches a state; null where the table does not know. */
export function timeAfter(table: Table, marks: number[], at_s: number, factor: number, early = false): number | null {
  const since_s = at_s - table.start_s;
  if (since_s < 0 || since_s > table.count * table.slot_s) return null;
  const mark = early ? Math.floor(since_s / table.slot_s) : Math.ceil(since_s / table.slot_s);
  if (num(marks, mark) > table.count) return null;
  return at_s + Math.floor((num(marks, mark) - mark) * table.slot_s * factor + HAIR);
}

export function slotAt(table: Table, at_s: number): number | null {
  const slot = Math.floor((at_s - table.start_s) / table.slot_s);
  return slot >= 0 && slot < table.count ? slot : null;
}

/** From when and until when a work may start, at `from_s` or after; null where the table knows no moment. */
export function opening(table: Table, starts: boolean[], from_s: number): [number, number] | null {
  from_s = Math.max(from_s, table.start_s);
  let slot = Math.floor((from_s - table.start_s) / table.slot_s);
  const inside = (from_s - table.start_s) % table.slot_s !== 0;
  const open = slot < table.count && starts[slot] && (!inside || (slot + 1 < table.count && starts[slot + 1]));
  if (!open) {
    if (inside) slot++;
    while (slot < table.count && !starts[slot]) slot++;
    if (slot >= table.count) return null;
    from_s = table.start_s + slot * table.slot_s;
  }
  while (slot + 1 < table.count && starts[slot + 1]) slot++;
  return [from_s, table.start_s + slot * table.slot_s];
}

/** Slots after which, within so many, one follows that holds. */
export function followingWithin(flags: boolean[], slots: number): boolean[] {
  const following = nextHolds(flags);
  return flags.map((_, slot) => num(following, slot + 1) < flags.length && num(following, slot + 1) - slot <= slots);
}

function sums(flags: boolean[]): number[] {
  const found = [0];
  for (const flag of flags) found.push((found.at(-1) as number) + (flag ? 1 : 0));
  return found;
}

function nextHolds(flags: boolean[]): number[] {
  const found = new Array<number>(flags.length + 1).fill(flags.length);
  for (let slot = flags.length - 1; slot >= 0; slot--) found[slot] = flags[slot] ? slot : num(found, slot + 1);
  return found;
}
