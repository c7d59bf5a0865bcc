/** When the plan has a step: of several tasks of one kind the one that is meant; see `boottop.job.step_planned`. */

import type { Situation } from "./situation";

const COAT_TASK: { [role: string]: string } = { primer: "primer_coat", barrier: "barrier_coat", antifouling: "coat" };

/** When the plan starts a task of a kind, on this zone after its last coat and before its next, or on the whole boat. */
export function planned(place: Situation, kind: string): number | null {
  const { last, due, table, zone } = place;
  const after_s = last && (plannedCoat(place, last.product, last.coat) ?? last.finished_s);
  const next = last && last.product === due.product ? last.coat + 1 : 1;
  const before_s = place.filmComplete ? null : plannedCoat(place, due.product, next);
  const meant = table.tasks.find(({ zone: where, start_s, ...task }) => {
    if (task.kind !== kind || (where !== null && where !== zone.name)) return false;
    if (where === null) return true;
    return (after_s === null || start_s >= after_s) && (before_s === null || start_s < before_s);
  });
  return meant?.start_s ?? null;
}

/** When the plan starts a coat of a product on this zone. */
export function plannedCoat({ table, zone }: Situation, product: string | null, coat: number | null): number | null {
  const role = zone.systems.find((one) => one.product === product)?.role;
  if (role === undefined) return null;
  const meant = table.tasks.find(
    (task) => task.kind === COAT_TASK[role] && task.zone === zone.name && task.coat === coat,
  );
  return meant?.start_s ?? null;
}
