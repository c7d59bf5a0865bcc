/** The fields of an event, big enough for a glove. */

import { scaleOf } from "../core/units";
import { EVENT_KINDS } from "../rules/events";
import { systemsOf } from "../rules/stock";
import { ownJobs } from "../rules/table";
import { useScreen } from "./context";
import { eventLine, LABEL, TOUCH_WORDS } from "./words";

export type Values = { [field: string]: string };

/** Letters that parts of a mix go by in the log; their names stand in the board table. */
export const LOT_PARTS = ["A", "B", "C", "D", "E"];
const USUAL_PARTS = 3;

export interface FieldProps {
  kind: string;
  field: string;
  values: Values;
  zone: string | null;
  error: string | undefined;
  set(field: string, value: string): void;
}

interface InputProps {
  id: string;
  field: string;
  label: string;
  value: string;
  set(value: string): void;
}

export function Field(props: FieldProps) {
  const { kind, field, values, set, error } = props;
  const said = EVENT_KINDS[kind]?.fields[field] ?? "text?";
  const word = said.replace(/[?]$/, "").split(":")[0] as string;
  const name = field === "litres" ? (kind === "batch_mixed" ? "Mixed" : "Used") : (LABEL[field] ?? field);
  const label = said.endsWith("?") ? `${name} (if known)` : name;
  if (word === "lots") return <Lots label={label} values={values} set={set} />;
  const input = { id: `f-${field}`, field, label: name, value: values[field] ?? "", set: (to: string) => set(field, to) };
  return (
    <div class={error ? "field amiss" : "field"}>
      <label for={input.id}>{label}</label>
      {word === "count" ? <Stepper {...input} /> : word === "number" ? <Amount {...input} /> : <Words {...props} {...input} />}
      {error && (
        <p class="bad" role="alert">
          ▲ {error}
        </p>
      )}
    </div>
  );
}

function Stepper({ id, label, value, set }: InputProps) {
  const number = Number(value);
  const known = value !== "" && Number.isFinite(number);
  return (
    <div class="stepper">
      <button type="button" aria-label={`−1 ${label}`} onClick={() => set(String(known ? Math.max(1, number - 1) : 1))}>
        −1
      </button>
      <input id={id} inputMode="numeric" autocomplete="off" value={value} onInput={(typing) => set(typing.currentTarget.value)} />
      <button type="button" aria-label={`+1 ${label}`} onClick={() => set(String(known ? number + 1 : 1))}>
        +1
      </button>
    </div>
  );
}

/** Temperatures may be below zero, and the decimal keypads of phones have no minus. */
function Amount({ id, field, value, set }: InputProps) {
  const { units } = useScreen();
  return (
    <div class="amount">
      <input
        id={id}
        inputMode={field.endsWith("_c") ? "text" : "decimal"}
        autocomplete="off"
        value={value}
        onInput={(typing) => set(typing.currentTarget.value)}
      />
      <span>{scaleOf(field, units).unit}</span>
    </div>
  );
}

/** "resin (A)", or "Part A" where the name is not known. */
function partWords(part: string, name: string | undefined): string {
  if (!name) return `Part ${part}`;
  return name.includes(`(${part})`) ? name : `${name} (${part})`;
}

/** A lot number for each part of the mix. What was written down stays in sight. */
function Lots({ label, values, set }: { label: string; values: Values; set: FieldProps["set"] }) {
  const { table } = useScreen();
  const names = table.stock.find((one) => one.product === values["product"])?.parts ?? [];
  const count = names.length || USUAL_PARTS;
  return (
    <fieldset class="lots">
      <legend>{label}</legend>
      {LOT_PARTS.filter((part, at) => at < count || values[`lot ${part}`]).map((part) => (
        <label key={part}>
          <span>{partWords(part, names[LOT_PARTS.indexOf(part)])}</span>
          <input
            autocomplete="off"
            value={values[`lot ${part}`] ?? ""}
            onInput={(typing) => set(`lot ${part}`, typing.currentTarget.value)}
          />
        </label>
      ))}
    </fieldset>
  );
}

function Words({ id, kind, field, zone, value, set }: Omit<FieldProps, "set"> & InputProps) {
  const options = useOptions(kind, field, zone, value);
  if (field === "text")
    return <textarea id={id} rows={4} value={value} onInput={(typing) => set(typing.currentTarget.value)} />;
  if (!options)
    return <input id={id} autocomplete="off" value={value} onInput={(typing) => set(typing.currentTarget.value)} />;
  return (
    <select id={id} value={value} onChange={(chosen) => set(chosen.currentTarget.value)}>
      <option value="">choose</option>
      {options.map(([name, words]) => (
        <option key={name} value={name}>
          {words}
        </option>
      ))}
    </select>
  );
}

/** What may be chosen, null where anything may be typed. What stands there already is always among it. */
function useOptions(kind: string, field: string, zone: string | null, value: string): [string, string][] | null {
  const { table, settled, units, yard, now_s, state } = useScreen();
  let options: [string, string][] | null = null;
  const word = EVENT_KINDS[kind]?.fields[field] ?? "";
  if (field === "product") {
    const here = table.zones.find((one) => one.name === zone)?.systems.map((one) => one.product);
    options = (here ?? [...systemsOf(table).keys()]).map((name) => [name, name]);
  } else if (field === "batch") {
    const open = state.batches.filter((one) => one.done_s === null);
    options = open.map((one) => [one.id, `${one.product}, mixed ${yard.at(one.mixed_s, now_s)}`]);
  } else if (field === "work") {
    const own = ownJobs(table);
    const done = new Map(state.work.map((one) => [one.name, one.at_s]));
    const words = (name: string): string => {
      const at_s = done.get(name);
      return at_s === undefined ? name : `${name} (✓ done ${yard.at(at_s, now_s)})`;
    };
    options = own.length ? own.map((name) => [name, words(name)]) : null;
  } else if (word.startsWith("choice:")) {
    const names = word.slice("choice:".length).split("|");
    options = names.map((name) => [name, TOUCH_WORDS[name] ? `${name}: ${TOUCH_WORDS[name]}` : name]);
  }
  if (!options || !value || options.some(([name]) => name === value)) return options;
  const event = settled.events.find((one) => one.event.id === value)?.event;
  return [...options, [value, event ? eventLine(event, units) : value]];
}
