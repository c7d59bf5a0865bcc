/** The correction of an event that is in the log: other words, another time, another zone, or struck out. */

import { useState } from "preact/hooks";
import { EVENT_KINDS, timeText, type Event } from "../rules/events";
import { useScreen } from "./context";
import { correctionOf, dataOf, type Errors, valuesOf } from "./draft";
import { Field, type Values } from "./Fields";
import { ZoneField } from "./FormParts";
import { BottomSheet } from "./Sheet";
import { happenedAt } from "./useEntry";
import { type Moment, typedAt, When } from "./When";
import { eventLine } from "./words";

/** `event` as it stands now, with earlier corrections in it. */
export function CorrectForm({ event }: { event: Event }) {
  const screen = useScreen();
  const { zone, values, moment, errors, ...change } = useCorrection(event);
  const kind = event.kind;
  const fields = kind === "photo" ? [] : Object.keys(EVENT_KINDS[kind]?.fields ?? {});
  return (
    <BottomSheet title={`Correct: ${eventLine(event, screen.units)}`}>
      <form
        onSubmit={(sent) => {
          sent.preventDefault();
          void change.save();
        }}
      >
        {event.zone && <ZoneField {...{ kind, zone }} set={change.setZone} error={errors["zone"]} />}
        {fields.map((name) => (
          <Field key={name} {...{ kind, values, zone }} set={change.set} field={name} error={errors[name]} />
        ))}
        <When moment={moment} change={change.setMoment} error={errors["when"]} />
        <div class="gofoot">
          <button type="submit" class="go">
            Write down the correction
          </button>
          <Strike event={event} />
        </div>
      </form>
    </BottomSheet>
  );
}

function Strike({ event }: { event: Event }) {
  const { close, write } = useScreen();
  const [sure, ask] = useState(false);
  const strike = async (): Promise<void> => {
    close();
    await write({ kind: "correction", zone: null, data: { corrects: event.id, strike: "yes" } });
  };
  return (
    <button type="button" class="full" onClick={() => (sure ? void strike() : ask(true))}>
      {sure ? "Yes, it did not happen" : "Strike it out: it did not happen"}
    </button>
  );
}

function useCorrection(event: Event) {
  const screen = useScreen();
  const { kind } = event;
  const original = screen.store.memory.events().get(event.id) ?? event;
  const stands = screen.settled.events.find((one) => one.event.id === event.id);
  const [was_ms] = useState(stands?.happened_ms ?? screen.store.clock.now_ms());
  const field = screen.yard.field(was_ms);
  const [zone, setZone] = useState(event.zone);
  const [values, setValues] = useState<Values>(() => valuesOf(kind, event.data, screen.units));
  const [moment, setMoment] = useState<Moment>(typedAt(field));
  const [errors, setErrors] = useState<Errors>({});

  const save = async (): Promise<void> => {
    const kept = { data: event.data, errors: {} };
    const found = kind === "photo" ? kept : dataOf(kind, values, screen.units, event.data);
    const wrong: Errors = { ...found.errors };
    if (event.zone && !zone) wrong["zone"] = "Say where.";
    // The field holds whole minutes: while it is left alone the seconds stay.
    const moved = moment.field !== field || moment.second;
    const at_ms = moved ? (happenedAt(moment, screen, wrong) ?? screen.store.clock.now_ms()) : was_ms;
    setErrors(wrong);
    if (Object.keys(wrong).length) return;
    screen.close();
    const data = correctionOf(original, found.data, timeText(at_ms));
    await screen.write({ kind: "correction", zone: zone === original.zone ? null : zone, data });
  };
  const set = (name: string, value: string): void => setValues((known) => ({ ...known, [name]: value }));
  return { zone, values, moment, errors, setZone, set, setMoment, save };
}
