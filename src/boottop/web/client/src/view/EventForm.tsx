/** The log sheet: one form for every kind of event. */

import { useState } from "preact/hooks";
import { EVENT_KINDS } from "../rules/events";
import { useScreen, type Sheet } from "./context";
import { dataOf, momentOf, usual, valuesOf, type Errors } from "./draft";
import { Field, type Values } from "./Fields";
import { DewHint, PhotoField, ZoneField } from "./FormParts";
import { photoOf, type Taken } from "./photo";
import { BottomSheet } from "./Sheet";
import { type Moment, NOW, When } from "./When";
import { TOUCH_WORDS } from "./words";

type Form = Extract<Sheet, { is: "form" }>;

/** Kinds whose last question is a choice: the tap on the answer writes it down. */
const BY_CHOICE: { [kind: string]: [field: string, choices: string[]] } = {
  touch_test: ["verdict", ["wet", "tacky", "past tacky"]],
  rain: ["what", ["began", "ended"]],
};

const MAY_HAVE_ZONE = ["reading", "photo", "note"];

export function EventForm({ form }: { form: Form }) {
  const screen = useScreen();
  const { kind, preset } = form;
  const [zone, setZone] = useState(form.zone);
  const [values, setValues] = useState<Values>(() => valuesOf(kind, usual(kind, preset, screen), screen.units));
  const [moment, setMoment] = useState<Moment>(NOW);
  const [errors, setErrors] = useState<Errors>({});
  const [file, setFile] = useState<File | null>(null);
  const spec = EVENT_KINDS[kind];
  const choice = BY_CHOICE[kind];

  const submit = async (chosen: Values = {}): Promise<void> => {
    const found: Taken =
      kind === "photo" ? await photoOf(file) : dataOf(kind, { ...values, ...chosen }, screen.units, preset);
    const wrong = { ...found.errors };
    if (spec?.zoned && !zone) wrong["zone"] = "Say where.";
    let happened_ms: number | undefined;
    try {
      happened_ms = momentOf(moment, screen);
    } catch (error) {
      wrong["when"] = (error as Error).message;
    }
    setErrors(wrong);
    if (Object.keys(wrong).length) return;
    if (form.then && chosen["verdict"] === "tacky") screen.open(form.then);
    else screen.close();
    const { data, photo } = found;
    await screen.write({ kind, zone, data, ...(happened_ms ? { happened_ms } : {}), ...(photo ? { photo } : {}) });
  };

  const set = (field: string, value: string): void => setValues((known) => ({ ...known, [field]: value }));
  const fields = Object.keys(spec?.fields ?? {}).filter((field) => kind !== "photo" && field !== choice?.[0]);
  const asksWhere = !form.zone && (spec?.zoned || MAY_HAVE_ZONE.includes(kind));
  return (
    <BottomSheet title={`${spec?.label ?? kind}${form.zone ? `: ${form.zone}` : ""}`}>
      <form
        onSubmit={(sent) => {
          sent.preventDefault();
          if (!choice) void submit();
        }}
      >
        {form.note && <p class="bad">▲ {form.note}</p>}
        {asksWhere && <ZoneField {...{ kind, zone }} set={setZone} error={errors["zone"]} />}
        {fields.map((field) => (
          <Field key={field} {...{ kind, field, values, zone, set }} error={errors[field]} />
        ))}
        {kind === "photo" && <PhotoField set={setFile} error={errors["photo"]} />}
        {kind === "reading" && <DewHint values={values} zone={zone} />}
        <When moment={moment} change={setMoment} error={errors["when"]} />
        <div class="gofoot">
          {choice ? (
            choice[1].map((answer) => (
              <button type="button" class="go" key={answer} onClick={() => void submit({ [choice[0]]: answer })}>
                <b>{kind === "rain" ? `Rain ${answer}` : answer}</b>
                {TOUCH_WORDS[answer] && <span>{TOUCH_WORDS[answer]}</span>}
              </button>
            ))
          ) : (
            <button type="submit" class="go">
              Write down
            </button>
          )}
        </div>
      </form>
    </BottomSheet>
  );
}
