/** Steps that no film decides: lift, wash, stands, stripping, abrading, masking, the launch; see
 * `boottop.job.step_ashore`. */

import type { Situation } from "./situation";
import { Rule, slotAt, WATER } from "./slots";
import { planned } from "./stepPlanned";
import { becauseOf, liveClosure, type Opened, openWhen, ruleSays, type Verdict, verdict } from "./verdict";

const STANDS_REST_ON = ["side", "named"];

export const bearsStands = ({ zone }: Situation): boolean =>
  STANDS_REST_ON.includes(zone.kind) && zone.waits_for_stands === null;

/** The step after the furthest that was written down, null when all before the wiping is done. */
export function preparationDue({ state, done, zone }: Situation): string | null {
  const worked = state.zones.length > 0 || state.batches.length > 0;
  const made: { [kind: string]: boolean } = {
    haul_out: worked || state.hauled_s !== null || state.washed_s !== null,
    wash: worked || state.washed_s !== null,
    move_stands: state.stands.some((one) => one.stand_set === zone.waits_for_stands),
    strip: done.stripped_s !== null,
    abrade: done.abraded_s !== null,
    mask: done.masked_s !== null,
    wipe: done.wiped_s !== null,
  };
  const stands = zone.waits_for_stands === null ? [] : ["move_stands"];
  const kinds = ["haul_out", "wash", ...stands, ...zone.steps];
  const due = kinds[kinds.findLastIndex((kind) => made[kind]) + 1] ?? null;
  return due === "wipe" ? null : due;
}

export function ashoreStep(place: Situation, kind: string, places: Situation[]): Verdict {
  const now_s = place.now_s;
  if (kind === "haul_out") {
    const planned_s = planned(place, kind);
    if (planned_s === null || planned_s <= now_s) return verdict(kind, { from_s: now_s });
    return verdict(kind, { from_s: planned_s, why: becauseOf("planned_later") });
  }
  if (kind === "wash") return verdict(kind, { from_s: now_s });
  if (kind === "move_stands") {
    const from_s = latestOf(places.filter(bearsStands), "stands_safe");
    const why = from_s === null || from_s > now_s ? becauseOf("stands") : null;
    return verdict(kind, { from_s: from_s === null ? null : Math.max(from_s, now_s), why });
  }
  return verdict(kind, { ...prepare(place, kind) });
}

function prepare(place: Situation, kind: string): Opened {
  const film = place.film(place.due);
  const slot = slotAt(place.table, place.now_s);
  const masks = kind === "mask";
  const starts = masks ? film.system.rule.map((rule) => !WATER.includes(rule)) : film.rains.map((rain) => !rain);
  const rule = slot === null ? Rule.NO_WEATHER : masks ? (film.system.rule[slot] as number) : Rule.RAIN;
  const stripped_s = place.done.stripped_s;
  const says = { live: liveClosure(place, false), closed: ruleSays(place, rule) };
  if (kind === "strip" || stripped_s === null) return openWhen(place, starts, { from_s: place.now_s }, says);
  const dry_s = Math.trunc(place.zone.dry_h * 3600);
  const why = becauseOf("laminate_dry", dry_s, place.now_s - stripped_s);
  return openWhen(place, starts, { from_s: stripped_s + dry_s, why }, says);
}

export function launchStep(place: Situation, places: Situation[]): Verdict {
  const cured_s = launchFrom(places);
  if (cured_s === null) return verdict("launch", { why: becauseOf(notReady(places)) });
  const from_s = Math.max(cured_s, planned(place, "launch") ?? place.now_s, place.now_s);
  const why = from_s > place.now_s ? becauseOf(cured_s === from_s ? "not_cured" : "planned_later") : null;
  return verdict("launch", { from_s, why });
}

/** When every zone is cured for the water, null while one is not coated or it is not known. */
export function launchFrom(places: Situation[]): number | null {
  return notReady(places) === "not_all_coated" ? null : latestOf(places, "immersion");
}

function notReady(places: Situation[]): string {
  return places.every((place) => place.filmComplete && !place.openCoat) ? "not_cured" : "not_all_coated";
}

function latestOf(places: Situation[], what: "stands_safe" | "immersion"): number | null {
  const times = places.map((place) => (place.filmComplete ? place.reached(what) : null));
  const known = times.filter((at_s) => at_s !== null);
  return known.length === times.length && known.length ? Math.max(...known) : null;
}
