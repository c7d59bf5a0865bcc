/** One zone at one moment: how far it has come, and what air and film are like there; see `boottop.job.situation`. */

import { biasOf, factorOf, type Learned } from "./learn";
import { dewPoint } from "./moist";
import { Film, slotAt, timeAfter, underRoof } from "./slots";
import type { Coat, Rain, State, ZoneState } from "./state";
import type { System, Table, Zone } from "./table";

const READING_HOLDS_S = 3600;

const nothingDone = (zone: string): ZoneState => ({
  zone,
  stripped_s: null,
  abraded_s: null,
  masked_s: null,
  wiped_s: null,
  activated_s: null,
  coats: [],
  taken_off: 0,
});

const begun = (coat: Coat): boolean => coat.started_s !== null || coat.finished_s !== null;

const highest = (coats: Coat[]): Coat | null =>
  coats.reduce<Coat | null>((best, coat) => (best === null || coat.coat > best.coat ? coat : best), null);

export class Situation {
  readonly done: ZoneState;
  /** Number of the outermost system of which a coat was begun, null before the first coat. */
  readonly place: number | null;
  /** The finished coat with the highest number of that system. */
  readonly last: Coat | null;
  /** The coat that was started and not finished. */
  readonly openCoat: Coat | null;
  readonly filmComplete: boolean;
  /** The system whose coat comes next; the last one when all are on. */
  readonly due: System;

  constructor(
    readonly state: State,
    readonly table: Table,
    readonly zone: Zone,
    readonly now_s: number,
    readonly learned: Learned,
  ) {
    const systems = zone.systems;
    this.done = state.zones.find((one) => one.zone === zone.name) ?? nothingDone(zone.name);
    const products = new Set(this.done.coats.filter(begun).map((coat) => coat.product));
    const place = systems.findLastIndex((system) => products.has(system.product));
    this.place = place < 0 ? null : place;
    const coats = place < 0 ? [] : this.done.coats.filter((coat) => coat.product === systems[place]?.product);
    this.last = highest(coats.filter((coat) => coat.finished_s !== null));
    const above = this.last?.coat ?? 0;
    this.openCoat = highest(coats.filter((coat) => coat.finished_s === null && coat.coat > above && begun(coat)));
    const outer = systems[Math.max(place, 0)] as System;
    const complete = this.last !== null && this.last.coat >= outer.coats;
    this.filmComplete = place === systems.length - 1 && complete;
    const due = this.place === null ? 0 : Math.min(place + (complete ? 1 : 0), systems.length - 1);
    this.due = systems[due] as System;
  }

  film(system: System): Film {
    return filmOf(this.table, this.learned, this.zone.name, system);
  }

  /** When the last finished coat is rain-safe, stands-safe or fit for immersion, null where not known. */
  reached(what: "rain_safe" | "stands_safe" | "immersion"): number | null {
    if (!this.last || this.last.finished_s === null || this.place === null) return null;
    const system = this.zone.systems[this.place] as System;
    const factor = Math.max(1, factorOf(this.learned, system.product));
    return timeAfter(this.table, system[what], this.last.finished_s, factor);
  }

  sandable(): number | null {
    const times = [this.reached("stands_safe"), this.reached("immersion")].filter((at_s) => at_s !== null);
    return times.length ? Math.min(...times) : null;
  }

  sheltered(): boolean {
    const slot = slotAt(this.table, this.now_s);
    return slot !== null && underRoof(this.due, slot);
  }

  rainedOn(): boolean {
    const safe_s = this.reached("rain_safe");
    const finished_s = this.last?.finished_s ?? null;
    if (safe_s === null || finished_s === null) return false;
    return this.state.rain.some((rain) => this.#falls(rain, finished_s, safe_s));
  }

  #falls({ began_s, ended_s }: Rain, from_s: number, until_s: number): boolean {
    if (began_s >= until_s || (ended_s !== null && ended_s <= from_s)) return false;
    const { start_s, slot_s } = this.table;
    const [roof_s, bare_s] = this.due.sheltered.map((mark) => start_s + mark * slot_s);
    if (roof_s === undefined || bare_s === undefined) return true;
    const last_s = Math.min(ended_s ?? Math.max(this.now_s, began_s), until_s);
    return Math.max(began_s, from_s) < roof_s || last_s > bare_s;
  }

  /** Whether the spots of rain on the last coat are still to be sanded: nothing was done to it since. */
  spotted(): boolean {
    const finished_s = this.last?.finished_s ?? null;
    if (finished_s === null || this.openCoat || !this.rainedOn()) return false;
    const { abraded_s, activated_s } = this.done;
    const sanded = abraded_s !== null && abraded_s > finished_s;
    return !sanded && !(this.filmComplete && activated_s !== null && activated_s >= finished_s);
  }

  /** Surface above dew point now, K, and where it comes from: a reading of the last hour, else the weather. */
  get margin(): [number | null, "reading" | "weather"] {
    const slot = slotAt(this.table, this.now_s);
    const bias_k = biasOf(this.learned, this.zone.name, this.now_s);
    const read = this.#reading();
    if (!read) return [slot === null ? null : (this.due.margin_k[slot] as number) + bias_k, "weather"];
    const [surface_c, dew_c] = read;
    if (surface_c !== null) return [surface_c - dew_c, "reading"];
    return slot === null ? [null, "weather"] : [(this.due.surface_c[slot] as number) + bias_k - dew_c, "reading"];
  }

  #reading(): [number | null, number] | null {
    let dew_c: number | null = null;
    let surface_c: number | null = null;
    for (const one of this.state.readings) {
      const age_s = this.now_s - one.at_s;
      if ((one.zone !== null && one.zone !== this.zone.name) || age_s < 0 || age_s > READING_HOLDS_S) continue;
      if (one.air_c !== null && one.humidity !== null && one.humidity > 0) dew_c = dewPoint(one.air_c, one.humidity);
      if (one.surface_c !== null) surface_c = one.surface_c;
    }
    return dew_c === null ? null : [surface_c, dew_c];
  }
}

/** Films are kept as long as the table and what was learned: the board is worked out every second. */
const films = new WeakMap<Learned, Map<string, Film>>();

function filmOf(table: Table, learned: Learned, zone: string, system: System): Film {
  const kept = films.get(learned) ?? new Map<string, Film>();
  films.set(learned, kept);
  const key = `${zone}\n${system.product}`;
  let film = kept.get(key);
  if (film?.system !== system || film.table !== table) {
    const known = learned.surfaces.some((one) => one.zone === zone);
    const bias_k = Array.from({ length: table.count }, (_, slot) =>
      known ? biasOf(learned, zone, table.start_s + slot * table.slot_s) : 0,
    );
    film = new Film(table, system, factorOf(learned, system.product), bias_k);
    kept.set(key, film);
  }
  return film;
}
