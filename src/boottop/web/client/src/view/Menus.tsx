/** The lists of what may be written down, and what this phone is set to. */

import { sound } from "../core/warn";
import { EVENT_KINDS } from "../rules/events";
import { Situation } from "../rules/situation";
import { type Sheet, useScreen } from "./context";
import { BottomSheet } from "./Sheet";
import { coatNote, eventLine } from "./words";

const HERE = ["touch_test", "reading", "coat_started", "coat_finished", "photo", "note", "wiped", "abraded", "masked"];
const HERE_LATER = ["activated", "stripped"];
const ABOARD = ["batch_mixed", "batch_done", "reading", "rain", "photo", "note", "stands_moved", "other_work"];
const ABOARD_LATER = ["hauled_out", "washed", "launched"];
const NAMES: { [kind: string]: string } = { abraded: "Abraded or sanded", batch_done: "Pot used up or thrown away" };

function Kinds({ kinds, sheet }: { kinds: string[]; sheet(kind: string): Sheet }) {
  const { open } = useScreen();
  return (
    <ul class="kinds">
      {kinds.map((kind) => (
        <li key={kind}>
          <button type="button" onClick={() => open(sheet(kind))}>
            {NAMES[kind] ?? EVENT_KINDS[kind]?.label}
          </button>
        </li>
      ))}
    </ul>
  );
}

export function ZoneMenu({ name }: { name: string }) {
  const { table, state, now_s, learned, board, units } = useScreen();
  const zone = table.zones.find((one) => one.name === name);
  const step = board.steps.find((one) => one.zone === name);
  if (!zone || !step) return null;
  const { due, last, openCoat } = new Situation(state, table, zone, now_s, learned);
  const top = openCoat ?? last ?? { product: due.product, coat: 1 };
  const next = { product: due.product, coat: last?.product === due.product ? last.coat + 1 : 1 };
  const presets: { [kind: string]: { product: string; coat: number } } = {
    coat_started: next,
    coat_finished: openCoat ?? next,
    touch_test: top,
  };
  const sheet = (kind: string): Sheet => {
    const found = presets[kind];
    const note = kind === "coat_started" ? coatNote(step, zone, next.product, state, units) : null;
    const preset = found ? { product: found.product, coat: found.coat } : {};
    return { is: "form", kind, zone: name, preset, ...(note && { note }) };
  };
  return (
    <BottomSheet title={name}>
      <Kinds kinds={HERE} sheet={sheet} />
      <h3>Less often</h3>
      <Kinds kinds={HERE_LATER} sheet={sheet} />
    </BottomSheet>
  );
}

export function MoreMenu() {
  const sheet = (kind: string): Sheet => ({ is: "form", kind, zone: null, preset: {} });
  return (
    <BottomSheet title="Write down">
      <Kinds kinds={ABOARD} sheet={sheet} />
      <h3>Once a season</h3>
      <Kinds kinds={ABOARD_LATER} sheet={sheet} />
    </BottomSheet>
  );
}

const UNITS = { metric: "Metric", us: "US" } as const;
const THEMES = { auto: "As the phone", light: "Light", dark: "Dark" } as const;
const SOUND_WORDS =
  "A browser sounds and shakes only after the page was touched once, and not while the phone is muted or its screen is off.";
const WARNS = { on: "Sound and shaking", off: "On the page only" } as const;

export function PhoneMenu() {
  const { store, now_s, yard } = useScreen();
  const { choices, clock, heard_s } = store;
  return (
    <BottomSheet title="This phone">
      <p>
        {store.who}, {store.role}.{" "}
        {heard_s === null ? "The laptop has not answered yet." : `The laptop last answered at ${yard.at(heard_s, now_s)}.`}
      </p>
      <Waiting />
      <p data-test="skew">{skewWords(clock.skew_ms)}</p>
      {clock.offset_s !== 0 && <p>{store.answer?.clock.words || "The board runs in the days of its weather."}</p>}
      <Pick name="Units" value={choices.units} options={UNITS} pick={(units) => void store.choose({ units })} />
      <Pick name="Light or dark" value={choices.theme} options={THEMES} pick={(theme) => void store.choose({ theme })} />
      <Pick
        name="Warnings"
        value={choices.sound ? "on" : "off"}
        options={WARNS}
        pick={(value) => void store.choose({ sound: value === "on" })}
      />
      {choices.sound && (
        <button type="button" class="full" onClick={sound}>
          Try the warning
        </button>
      )}
      <p class="quiet">{SOUND_WORDS}</p>
      <p class="quiet">
        {isSecureContext
          ? "This page also opens with the laptop out of reach."
          : "Leave this page open: out of reach of the laptop the phone may or may not be able to open it again. What is written down is kept either way."}
      </p>
    </BottomSheet>
  );
}

/** What the laptop does not have yet, the oldest first. */
function Waiting() {
  const { store, units, yard, now_s } = useScreen();
  const events = store.memory.waiting();
  if (!events.length) return store.mayLog ? <p>✓ All that was written down here is on the laptop.</p> : null;
  return (
    <div role="group" aria-labelledby="waits">
      <p class="label" id="waits">
        Waiting to be sent, kept {store.keepsNothing ? "only while this page is open" : "on this phone"}
      </p>
      <ol class="lines">
        {events.map((event) => (
          <li key={event.id}>
            <b>{yard.at(Date.parse(event.happened) / 1000, now_s)}</b>
            <span class="line">
              {event.zone ? `${event.zone}: ` : ""}
              {eventLine(event, units)}
            </span>
          </li>
        ))}
      </ol>
    </div>
  );
}

function skewWords(skew_ms: number): string {
  if (skew_ms === 0) return "This phone's clock agrees with the laptop's.";
  const seconds = Math.round(Math.abs(skew_ms) / 1000);
  const much = seconds < 120 ? `${seconds} s` : `${Math.round(seconds / 60)} min`;
  return `This phone's clock is ${much} ${skew_ms > 0 ? "behind" : "ahead of"} the laptop's. The board goes by the laptop's.`;
}

interface PickProps<Key extends string> {
  name: string;
  value: Key;
  options: { readonly [key in Key]: string };
  pick(value: Key): void;
}

function Pick<Key extends string>({ name, value, options, pick }: PickProps<Key>) {
  return (
    <div class="pick" role="group" aria-label={name}>
      <p class="label">{name}</p>
      <div class="trio">
        {(Object.entries(options) as [Key, string][]).map(([key, words]) => (
          <button type="button" key={key} aria-pressed={key === value} onClick={() => pick(key)}>
            {key === value ? "✓ " : ""}
            {words}
          </button>
        ))}
      </div>
    </div>
  );
}
