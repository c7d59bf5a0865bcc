/** One zone of the hull: how far it is, the one next step, and what is counted down to. */

import type { JSX } from "preact";
import { span } from "../core/times";
import { withUnit } from "../core/units";
import type { NextStep } from "../rules/nextStep";
import { Situation } from "../rules/situation";
import type { Zone } from "../rules/table";
import { BECAUSE_TEXT, COUNTDOWN_TEXT } from "../rules/words";
import { type Sheet, useScreen } from "./context";
import { Ruler } from "./Ruler";
import { atOf, stepWords, whyWords, zoneWords } from "./words";

const SIDE: { [side: string]: string } = { port: "◀ port", starboard: "starboard ▶" };

const RAINED =
  "▲ It rained on this coat before it was rain-safe. Its spots are sanded out once it is hard. Where it washed off, " +
  "strike the coat from the log: then it is rolled again.";

export function ZoneBoard({ step, zone }: { step: NextStep; zone: Zone }) {
  const { state, now_s, yard, open, mayLog } = useScreen();
  const done = state.zones.find((one) => one.zone === zone.name);
  const side = SIDE[zone.side];
  return (
    <li class={`board ${side ? zone.side : "middle"}`} data-zone={zone.name}>
      <div class="title">
        <h2>{zone.name}</h2>
        <span class="side">{side ?? "◆ middle"}</span>
      </div>
      <p class="state">{zoneWords(done, zone, state, atOf(yard, now_s))}</p>
      {step.rained_on && <p class="bad">{RAINED}</p>}
      <Step step={step} zone={zone} />
      <Why step={step} />
      <Countdowns step={step} />
      <Dew step={step} zone={zone} />
      <Openings step={step} zone={zone} />
      {mayLog && (
        <button type="button" class="aside" onClick={() => open({ is: "zone", zone: zone.name })}>
          Touch, reading, photo, other<span class="unseen">: {zone.name}</span>
        </button>
      )}
    </li>
  );
}

const KIND: { [step: string]: string } = {
  haul_out: "hauled_out",
  wash: "washed",
  move_stands: "stands_moved",
  strip: "stripped",
  abrade: "abraded",
  mask: "masked",
  wipe: "wiped",
  coat: "coat_started",
  finish: "coat_finished",
  sand: "abraded",
  activate: "activated",
  launch: "launched",
};

const WHOLE_BOAT = ["haul_out", "wash", "move_stands", "launch"];

/** The sheet that a step opens. A coat over a film asks for the touch test first: the finger decides. */
function sheetOf(step: NextStep, zone: Zone, note: string | undefined): Sheet | null {
  const kind = KIND[step.kind];
  if (!kind) return null;
  let preset: { [field: string]: string | number } = {};
  if (step.kind === "move_stands") preset = { stand_set: zone.waits_for_stands ?? 1 };
  if (step.kind === "coat" || step.kind === "finish") preset = { product: step.product ?? "", coat: step.coat ?? 1 };
  const where = WHOLE_BOAT.includes(step.kind) ? null : zone.name;
  const form: Sheet = { is: "form", kind, zone: where, preset };
  if (!step.touch_first) return note ? { ...form, note } : form;
  const under = { product: step.product ?? "", coat: (step.coat ?? 2) - 1 };
  return { is: "form", kind: "touch_test", zone: zone.name, preset: under, then: form };
}

function Step({ step, zone }: { step: NextStep; zone: Zone }) {
  const { open, mayLog, now_s, yard, units } = useScreen();
  if (step.kind === "done") return <p class="step afloat">Afloat</p>;
  const coat = step.coat ?? 2;
  const inside = (
    <>
      <span class="do">
        <span aria-hidden="true">{step.may_now ? "▶ " : "◷ "}</span>
        {step.touch_first ? `Touch coat ${coat - 1}, then roll coat ${coat}` : stepWords(step, zone)}
      </span>
      <span class="when">
        {step.product ? `${step.product}: ` : ""}
        {whenWords(step, atOf(yard, now_s), now_s)}
        <Planned step={step} />
      </span>
    </>
  );
  const looks = `step ${step.may_now ? "now" : "later"}`;
  if (!mayLog) return <div class={looks}>{inside}</div>;
  const note = step.may_now || !step.why_not ? undefined : `The board says not now: ${whyWords(step.why_not, units)}.`;
  const sheet = sheetOf(step, zone, note);
  return (
    <button type="button" class={looks} data-test="step" onClick={() => sheet && open(sheet)}>
      {inside}
    </button>
  );
}

/** The plan's own time for the step, where it says more than the step does. A time from before the last coat belongs
 * to work of the same name that is done. */
function Planned({ step }: { step: NextStep }) {
  const { state, now_s, yard } = useScreen();
  const coats = state.zones.find((one) => one.zone === step.zone)?.coats ?? [];
  const last_s = Math.max(0, ...coats.map((coat) => coat.finished_s ?? 0));
  const planned_s = step.planned_s;
  if (planned_s === null || planned_s <= last_s || planned_s === step.may_from_s || step.kind === "finish") return null;
  return <span class="planned">planned {yard.at(planned_s, now_s)}</span>;
}

function whenWords(step: NextStep, at: (at_s: number) => string, now_s: number): JSX.Element | string {
  if (step.kind === "finish") return "tap when the last stroke is rolled";
  if (step.may_now) {
    if (step.until_s === null) return "now";
    return (
      <>
        now, start by {at(step.until_s)} (<b class="count">{span(step.until_s - now_s)}</b>)
      </>
    );
  }
  if (step.may_from_s === null) return "from when is not known yet";
  return (
    <>
      from {at(step.may_from_s)}, in <b class="count">{span(step.may_from_s - now_s)}</b>
    </>
  );
}

function Why({ step }: { step: NextStep }) {
  const { units } = useScreen();
  return (
    <>
      {step.because && <p class="why">Because {BECAUSE_TEXT[step.because]}.</p>}
      {step.why_not && <p class="why">Not now: {whyWords(step.why_not, units)}.</p>}
    </>
  );
}

/** A moment stays on the board for two hours after it has passed. */
const STAYS_S = 7200;

function Countdowns({ step }: { step: NextStep }) {
  const { now_s, yard } = useScreen();
  const found = step.countdowns.filter((one) => one.at_s > now_s - STAYS_S);
  if (!found.length) return null;
  return (
    <dl class="counts">
      {found.map(({ name, at_s }) => (
        <div key={name} data-count={name}>
          <dt>{COUNTDOWN_TEXT[name]}</dt>
          <dd>
            {yard.at(at_s, now_s)}{" "}
            <b class="count">
              {at_s > now_s ? span(at_s - now_s) : name === "overcoat_until" ? "✕ passed" : "✓ reached"}
            </b>
          </dd>
        </div>
      ))}
    </dl>
  );
}

function Dew({ step, zone }: { step: NextStep; zone: Zone }) {
  const { now_s, yard, units } = useScreen();
  if (step.kind === "done" || step.margin_k === null) return null;
  const limit_k = Math.max(0, ...zone.systems.map((one) => one.dew_margin_k));
  const close = step.margin_k < limit_k;
  const fails_s = step.margin_fails_s;
  const kelvin = (value: number): string => withUnit("difference", value, units);
  return (
    <p class={close ? "dew bad" : "dew"}>
      {close ? "▲ " : ""}
      <b>{kelvin(step.margin_k)}</b> above dew point, {step.margin_from === "reading" ? "as read" : "by the weather"};{" "}
      {kelvin(limit_k)} needed
      {!close && fails_s !== null && `, too close from ${yard.at(fails_s, now_s)}`}
    </p>
  );
}

const WANTS_COAT = ["strip", "abrade", "mask", "wipe", "coat", "sand"];

/** When a coat may start in the next twelve hours, for zones that still want one. The first coat of a product also
 * needs room for all the others in its day, where the sheet wants them in one. */
function Openings({ step, zone }: { step: NextStep; zone: Zone }) {
  const { state, table, now_s, learned } = useScreen();
  if (!WANTS_COAT.includes(step.kind)) return null;
  const place = new Situation(state, table, zone, now_s, learned);
  const film = place.film(place.due);
  const first = place.last?.product !== place.due.product;
  const many = first && place.due.one_day && place.due.coats > 1;
  const what = many ? `${place.due.coats} coats in one day` : "a coat";
  return <Ruler {...{ film, now_s, what }} starts={first ? film.firstStarts : film.starts} />;
}
