/** Wiping, coats, sanding between coats, bare copper: the steps that a film decides; see `boottop.job.step_film`. */

import { factorOf } from "./learn";
import type { Situation } from "./situation";
import { type Film, followingWithin, Rule, slotAt, timeAfter } from "./slots";
import type { Coat, Touch } from "./state";
import {
  becauseOf,
  type Gate,
  liveClosure,
  type Opened,
  openWhen,
  ruleSays,
  type Verdict,
  verdict,
  type WhyNot,
  whyNoCoat,
  whySlotShut,
} from "./verdict";

const TOUCH_HOLDS_S = 600;

/** The last touch test after the coat was finished. */
export function lastTouch({ touch, finished_s }: Coat): Touch | null {
  return touch.findLast((one) => finished_s !== null && one.at_s >= finished_s) ?? null;
}

/** From when and until when the next coat of the same product may go on, null where the table does not know. */
export function overcoatTimes({ last, table, learned, due }: Situation): [number | null, number | null] {
  if (!last || last.finished_s === null) return [null, null];
  const factor = factorOf(learned, due.product);
  const ready_s = timeAfter(table, due.ready, last.finished_s, factor);
  const until_s = timeAfter(table, due.overcoat_until, last.finished_s, factor, true);
  const touch = lastTouch(last);
  if (!touch || touch.verdict === "past tacky") return [ready_s, until_s];
  const again_s = touch.at_s + TOUCH_HOLDS_S;
  const from_s = touch.verdict === "tacky" ? touch.at_s : Math.max(again_s, ready_s ?? again_s);
  return [from_s, until_s === null ? null : Math.max(until_s, again_s)];
}

export function filmStep(place: Situation): Verdict {
  const last = place.last;
  if (!last || last.finished_s === null) return bareStep(place);
  const abraded_s = place.done.abraded_s;
  if (abraded_s !== null && abraded_s > last.finished_s) return bareStep(place);
  if (place.due.product !== last.product) return sandStep(place, "next_product");
  const [, until_s] = overcoatTimes(place);
  if (lastTouch(last)?.verdict === "past tacky") return sandStep(place, "past_tacky");
  if (place.spotted()) return sandStep(place, "rained_on");
  if (until_s !== null && place.now_s > until_s) return sandStep(place, "overcoat_missed");
  return overcoat(place, last, last.finished_s);
}

function overcoat(place: Situation, last: Coat, finished_s: number): Verdict {
  const film = place.film(place.due);
  const touch = lastTouch(last);
  const [ready_s, until_s] = overcoatTimes(place);
  const wet = touch?.verdict === "wet";
  const needed_s = ready_s === null ? null : ready_s - finished_s;
  const why = becauseOf(wet ? "wet_by_touch" : "not_tacky", needed_s, place.now_s - finished_s);
  return verdict("coat", {
    product: place.due.product,
    coat: last.coat + 1,
    ...openCoat(place, film, film.starts, { from_s: ready_s, until_s, why }),
    touch_first: !touch || wet,
    touch: touch?.verdict ?? null,
  });
}

function openCoat(place: Situation, film: Film, starts: boolean[], gate: Gate): Opened {
  const closed = whyNoCoat(place, film, starts);
  return openWhen(place, starts, gate, { live: liveClosure(place, true), closed });
}

/** A zone that is abraded (or sanded) and waits for a coat: wiping, or that coat while the wiping holds. */
export function bareStep(place: Situation): Verdict {
  const { done, zone, now_s } = place;
  const hold_s = Math.trunc(place.table.wipe_holds_h * 3600);
  const film = place.film(place.due);
  const coat = coatDue(place);
  const starts = coat === 1 ? film.firstStarts : film.starts;
  const bare = (until_s: number | null): Verdict =>
    verdict("coat", { product: film.system.product, coat, ...openCoat(place, film, starts, { from_s: now_s, until_s }) });
  if (!zone.steps.includes("wipe")) return bare(null);
  const after_s = Math.max(done.abraded_s ?? -Infinity, finishedAt(place) ?? -Infinity);
  const wiped_s = done.wiped_s;
  if (wiped_s === null || wiped_s < after_s) return wipe(place, film, starts, hold_s, null);
  if (now_s > wiped_s + hold_s) return wipe(place, film, starts, hold_s, "wiped_too_long");
  return bare(wiped_s + hold_s);
}

function coatDue({ last, due }: Situation): number {
  return last && last.product === due.product ? last.coat + 1 : 1;
}

const finishedAt = ({ last }: Situation): number | null => last?.finished_s ?? null;

function wipe(place: Situation, film: Film, starts: boolean[], hold_s: number, because: string | null): Verdict {
  const follows = followingWithin(starts, Math.floor(hold_s / place.table.slot_s));
  const wipes = film.rules.map((rule, slot) => rule === 0 && (follows[slot] as boolean));
  const closed = whySlotShut(place, film) ?? becauseOf("no_wipe");
  const opened = openWhen(place, wipes, { from_s: place.now_s }, { live: liveClosure(place, true), closed });
  return verdict("wipe", { ...opened, because });
}

function sandStep(place: Situation, because: string): Verdict {
  const soft_s = place.sandable();
  const opened = whileDry(place, { from_s: soft_s, why: soft(place, soft_s) });
  return verdict("sand", {
    product: place.last?.product ?? null,
    coat: place.last?.coat ?? null,
    ...opened,
    because,
  });
}

/** The last coat of all is let cure and its rain spots are sanded, null without any; where the copper is laid bare
 * anyway the spots go with that. */
export function spotsStep(place: Situation): Verdict | null {
  return place.due.activation || !place.spotted() ? null : sandStep(place, "rained_on");
}

/** Sanding to bare copper, null where that is done or not asked for. */
export function activateStep(place: Situation): Verdict | null {
  const { activated_s } = place.done;
  const finished_s = finishedAt(place);
  const done = activated_s !== null && (finished_s === null || activated_s >= finished_s);
  if (!place.due.activation || done) return null;
  const [soft_s, bare_s] = [place.sandable(), bareFrom(place)];
  const late = bare_s !== null && soft_s !== null && bare_s > soft_s;
  const opened = whileDry(place, {
    from_s: late ? bare_s : soft_s,
    until_s: launchPlanned(place),
    why: late ? becauseOf("too_early_bare") : soft(place, soft_s),
  });
  const because = place.spotted() ? "spots_with_it" : null;
  return verdict("activate", { product: place.due.product, ...opened, because });
}

function launchPlanned({ table, now_s }: Situation): number | null {
  const found = table.tasks.find((task) => task.kind === "launch")?.start_s ?? null;
  return found === null || found < now_s ? null : found;
}

/** From when copper laid bare is still fresh at the planned launch. */
export function bareFrom(place: Situation): number | null {
  const launch_s = launchPlanned(place);
  const hours = place.due.activation_before_launch_h;
  return launch_s === null || hours === null ? null : launch_s - Math.trunc(hours * 3600);
}

function soft(place: Situation, soft_s: number | null): WhyNot {
  const finished_s = finishedAt(place);
  if (soft_s === null || finished_s === null) return becauseOf("too_soft_to_sand");
  return becauseOf("too_soft_to_sand", soft_s - finished_s, place.now_s - finished_s);
}

function whileDry(place: Situation, gate: Gate): Opened {
  const slot = slotAt(place.table, place.now_s);
  const closed = ruleSays(place, slot === null ? Rule.NO_WEATHER : Rule.RAIN);
  const dry = place.film(place.due).rains.map((rain) => !rain);
  return openWhen(place, dry, gate, { live: liveClosure(place, false), closed });
}
