/** What stands in a form while it is filled in, and how it becomes an event. */

import { useState } from "preact/hooks";
import { EVENT_KINDS } from "../rules/events";
import { type Screen, type Sheet, useScreen } from "./context";
import { dataOf, type Errors, momentOf, usual, valuesOf } from "./draft";
import type { Values } from "./Fields";
import { photoOf, type Taken } from "./photo";
import { type Moment, NOW } from "./When";

export type Form = Extract<Sheet, { is: "form" }>;

export interface Entry {
  zone: string | null;
  values: Values;
  moment: Moment;
  errors: Errors;
  setZone(zone: string | null): void;
  set(field: string, value: string): void;
  setMoment(moment: Moment): void;
  setFile(file: File | null): void;
  /** Writes it down, or says in `errors` what is amiss. `chosen`: the answer that was tapped in place of a button. */
  submit(chosen?: Values): Promise<void>;
}

export function useEntry(form: Form): Entry {
  const screen = useScreen();
  const { kind, preset } = form;
  const [zone, setZone] = useState(form.zone);
  const [values, setValues] = useState<Values>(() => valuesOf(kind, usual(kind, preset, screen), screen.units));
  const [moment, setMoment] = useState<Moment>(NOW);
  const [errors, setErrors] = useState<Errors>({});
  const [file, setFile] = useState<File | null>(null);

  const submit = async (chosen: Values = {}): Promise<void> => {
    const found: Taken =
      kind === "photo" ? await photoOf(file) : dataOf(kind, { ...values, ...chosen }, screen.units, preset);
    const wrong = { ...found.errors };
    if (EVENT_KINDS[kind]?.zoned && !zone) wrong["zone"] = "Say where.";
    const happened_ms = happenedAt(moment, screen, wrong);
    setErrors(wrong);
    if (Object.keys(wrong).length) return;
    // The finger decides: a tacky film opens the coat that waited for it.
    if (form.then && chosen["verdict"] === "tacky") screen.open(form.then);
    else screen.close();
    const { data, photo } = found;
    await screen.write({ kind, zone, data, ...(happened_ms ? { happened_ms } : {}), ...(photo ? { photo } : {}) });
  };
  const set = (field: string, value: string): void => setValues((known) => ({ ...known, [field]: value }));
  return { zone, values, moment, errors, setZone, set, setMoment, setFile, submit };
}

/** Epoch milliseconds of the "When" box, undefined for now; what is amiss with it goes into `wrong`. */
export function happenedAt(moment: Moment, screen: Screen, wrong: Errors): number | undefined {
  try {
    return momentOf(moment, screen);
  } catch (error) {
    wrong["when"] = (error as Error).message;
    return undefined;
  }
}
