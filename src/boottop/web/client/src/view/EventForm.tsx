/** The log sheet: one form for every kind of event. */

import { EVENT_KINDS } from "../rules/events";
import { Field } from "./Fields";
import { DewHint, PhotoField, ZoneField } from "./FormParts";
import { BottomSheet } from "./Sheet";
import { type Entry, type Form, useEntry } from "./useEntry";
import { When } from "./When";
import { TOUCH_WORDS } from "./words";

/** Kinds whose last question is a choice: the tap on the answer writes it down. */
const BY_CHOICE: { [kind: string]: [field: string, choices: string[]] } = {
  touch_test: ["verdict", ["wet", "tacky", "past tacky"]],
  rain: ["what", ["began", "ended"]],
};

const MAY_HAVE_ZONE = ["reading", "photo", "note"];

export function EventForm({ form }: { form: Form }) {
  const entry = useEntry(form);
  const spec = EVENT_KINDS[form.kind];
  return (
    <BottomSheet title={`${spec?.label ?? form.kind}${form.zone ? `: ${form.zone}` : ""}`}>
      <form
        onSubmit={(sent) => {
          sent.preventDefault();
          if (!BY_CHOICE[form.kind]) void entry.submit();
        }}
      >
        {form.note && <p class="bad">▲ {form.note}</p>}
        <Asked form={form} entry={entry} />
        <When moment={entry.moment} change={entry.setMoment} error={entry.errors["when"]} />
        <Go kind={form.kind} entry={entry} />
      </form>
    </BottomSheet>
  );
}

interface Props {
  form: Form;
  entry: Entry;
}

function Asked({ form: { kind, zone: given }, entry }: Props) {
  const { zone, values, errors, set } = entry;
  const spec = EVENT_KINDS[kind];
  const fields = Object.keys(spec?.fields ?? {}).filter((field) => kind !== "photo" && field !== BY_CHOICE[kind]?.[0]);
  const asksWhere = !given && (spec?.zoned || MAY_HAVE_ZONE.includes(kind));
  return (
    <>
      {asksWhere && <ZoneField {...{ kind, zone }} set={entry.setZone} error={errors["zone"]} />}
      {fields.map((field) => (
        <Field key={field} {...{ kind, field, values, zone, set }} error={errors[field]} />
      ))}
      {kind === "photo" && <PhotoField set={entry.setFile} error={errors["photo"]} />}
      {kind === "reading" && <DewHint values={values} zone={zone} />}
    </>
  );
}

function Go({ kind, entry }: { kind: string; entry: Entry }) {
  const [field, answers] = BY_CHOICE[kind] ?? ["", []];
  return (
    <div class="gofoot">
      {answers.map((answer) => (
        <button type="button" class="go" key={answer} onClick={() => void entry.submit({ [field]: answer })}>
          <b>{kind === "rain" ? `Rain ${answer}` : answer}</b>
          {TOUCH_WORDS[answer] && <span>{TOUCH_WORDS[answer]}</span>}
        </button>
      ))}
      {!answers.length && (
        <button type="submit" class="go">
          Write down
        </button>
      )}
    </div>
  );
}
