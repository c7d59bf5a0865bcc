/** What may be done now, zone by zone; see `boottop.job.next_step` and `boottop.job.step_zone`. The conformance file
 * tests/conformance/board.json holds this and the Python rule together. */

import { biasOf, type Learned } from "./learn";
import { Situation } from "./situation";
import { slotAt } from "./slots";
import type { State } from "./state";
import { ashoreStep, bearsStands, launchFrom, launchStep, preparationDue } from "./stepAshore";
import { activateStep, bareFrom, bareStep, filmStep, overcoatTimes, spotsStep } from "./stepFilm";
import { planned, plannedCoat } from "./stepPlanned";
import { type BatchClock, batchClocks, type Litres, litresOf } from "./stock";
import type { Table } from "./table";
import { type Verdict, verdict, type WhyNot } from "./verdict";

export interface Countdown {
  name: string;
  at_s: number;
}

export interface NextStep {
  zone: string;
  kind: string;
  product: string | null;
  coat: number | null;
  may_now: boolean;
  may_from_s: number | null;
  until_s: number | null;
  why_not: WhyNot | null;
  because: string | null;
  touch_first: boolean;
  touch: string | null;
  planned_s: number | null;
  countdowns: Countdown[];
  margin_k: number | null;
  margin_from: string;
  margin_fails_s: number | null;
  rained_on: boolean;
}

export interface Board {
  now_s: number;
  steps: NextStep[];
  batches: BatchClock[];
  litres: Litres[];
  raining: boolean;
  rain_at_s: number | null;
  launch_from_s: number | null;
  table_ends_s: number;
}

export function boardAt(state: State, table: Table, now_s: number, learned: Learned): Board {
  const places = table.zones.map((zone) => new Situation(state, table, zone, now_s, learned));
  return {
    now_s,
    steps: places.map((place) => zoneStep(place, places)),
    batches: batchClocks(state, table, now_s),
    litres: litresOf(state, table),
    raining: state.raining,
    rain_at_s: rainAt(table, now_s),
    launch_from_s: launchFrom(places),
    table_ends_s: table.start_s + table.count * table.slot_s,
  };
}

function rainAt(table: Table, now_s: number): number | null {
  const first = slotAt(table, Math.max(now_s, table.start_s));
  if (first === null) return null;
  for (let slot = first; slot < table.count; slot++) {
    if ((table.rain_mm[slot] as number) > 0) return Math.max(now_s, table.start_s + slot * table.slot_s);
  }
  return null;
}

function zoneStep(place: Situation, places: Situation[]): NextStep {
  const found = verdictOf(place, places);
  const [margin_k, margin_from] = place.margin;
  return {
    zone: place.zone.name,
    kind: found.kind,
    product: found.product,
    coat: found.coat,
    may_now: found.from_s === place.now_s,
    may_from_s: found.from_s,
    until_s: found.until_s,
    why_not: found.why,
    because: found.because,
    touch_first: found.touch_first,
    touch: found.touch,
    planned_s: plannedAt(place, found),
    countdowns: countdowns(place),
    margin_k,
    margin_from,
    margin_fails_s: marginFails(place),
    rained_on: place.spotted(),
  };
}

function verdictOf(place: Situation, places: Situation[]): Verdict {
  if (place.state.launched_s !== null) return verdict("done");
  const coat = place.openCoat;
  if (coat) return verdict("finish", { product: coat.product, coat: coat.coat, from_s: place.now_s });
  if (place.place === null) {
    const due = preparationDue(place);
    return due === null ? bareStep(place) : ashoreStep(place, due, places);
  }
  if (place.filmComplete) return spotsStep(place) ?? activateStep(place) ?? launchStep(place, places);
  return filmStep(place);
}

function countdowns(place: Situation): Countdown[] {
  const moments: [string, number | null][] = [];
  if (place.last && place.state.launched_s === null) {
    const follows = place.due.product === place.last.product && !place.filmComplete;
    if (follows && !place.openCoat && !place.spotted()) {
      const [ready_s, until_s] = overcoatTimes(place);
      moments.push(["overcoat_from", ready_s], ["overcoat_until", until_s]);
    }
    moments.push(["rain_safe", place.reached("rain_safe")]);
    if (place.filmComplete) {
      if (bearsStands(place)) moments.push(["stands_from", place.reached("stands_safe")]);
      if (place.due.activation) moments.push(["activate_from", activateFrom(place)]);
      moments.push(["launch_from", place.reached("immersion")]);
    }
  }
  return moments.flatMap(([name, at_s]) => (at_s === null ? [] : [{ name, at_s }]));
}

function activateFrom(place: Situation): number | null {
  const [soft_s, bare_s] = [place.sandable(), bareFrom(place)];
  return soft_s === null || bare_s === null ? soft_s : Math.max(soft_s, bare_s);
}

function plannedAt(place: Situation, { kind, product, coat }: Verdict): number | null {
  if (kind !== "coat" && kind !== "finish") return planned(place, kind === "sand" ? "abrade" : kind);
  return plannedCoat(place, product, coat);
}

function marginFails({ table, due, zone, now_s, learned }: Situation): number | null {
  const slot = slotAt(table, Math.max(now_s, table.start_s));
  if (slot === null) return null;
  for (let later = slot + 1; later < table.count; later++) {
    const at_s = table.start_s + later * table.slot_s;
    if ((due.margin_k[later] as number) + biasOf(learned, zone.name, at_s) < due.dew_margin_k) return at_s;
  }
  return null;
}
