/** Round the zones: open pots above them; under them what is left in the tins, what the day taught, and the plan. */

import { useState } from "preact/hooks";
import type { Problem } from "../core/db";
import { span } from "../core/times";
import { withUnit } from "../core/units";
import type { BatchClock, Litres } from "../rules/stock";
import { useScreen } from "./context";
import { surfaceWords } from "./words";

export function Pots() {
  const { board } = useScreen();
  if (!board.batches.length) return null;
  return (
    <section aria-labelledby="pots">
      <h2 id="pots" class="unseen">
        Open pots
      </h2>
      <ul class="pots">
        {board.batches.map((batch) => (
          <Pot key={batch.batch} batch={batch} />
        ))}
      </ul>
    </section>
  );
}

function Pot({ batch }: { batch: BatchClock }) {
  const { now_s, yard, units, mayLog, open } = useScreen();
  const gone = batch.gone_s <= now_s;
  const late = batch.use_by_s <= now_s;
  const end_s = late ? batch.gone_s : batch.use_by_s;
  const warm = withUnit("temperature", batch.batch_c, units);
  return (
    <li class={late ? "pot loud" : "pot"}>
      <p>
        <b>
          Pot of {batch.product}, {withUnit("volume", batch.litres, units)}
        </b>
        <span class="quiet">
          mixed {yard.at(batch.mixed_s, now_s)} at {warm}
          {batch.measured ? "" : " (assumed: measure it)"}
        </span>
      </p>
      {mayLog && (
        <button
          type="button"
          class="aside"
          onClick={() => open({ is: "form", kind: "batch_done", zone: null, preset: { batch: batch.batch } })}
        >
          Used up,
          <br />
          thrown
        </button>
      )}
      <dl class="counts">
        <div data-count="use_by">
          <dt>{gone ? "pot life ended" : late ? "▲ past use-by, hard at" : "use up by"}</dt>
          <dd>
            {yard.at(end_s, now_s)} <b class="count">{gone ? "✕ do not use" : span(end_s - now_s)}</b>
          </dd>
        </div>
        {batch.stir_s !== null && !gone && (
          <div data-count="stir">
            <dt>stir again in</dt>
            <dd>
              <b class="count">{span(batch.stir_s - now_s)}</b>
            </dd>
          </div>
        )}
      </dl>
    </li>
  );
}

export function Tins() {
  const { board } = useScreen();
  if (!board.litres.length) return null;
  return (
    <section class="panel" aria-labelledby="tins">
      <h2 id="tins">In the tins</h2>
      <dl class="tins">
        {board.litres.map((one) => (
          <Tin key={one.product} one={one} />
        ))}
      </dl>
    </section>
  );
}

function Tin({ one }: { one: Litres }) {
  const { units } = useScreen();
  const litres = (value_l: number): string => withUnit("volume", value_l, units);
  const have_l = one.left_l + one.in_pots_l;
  const other = Math.round(Math.abs(one.used_ratio - 1) * 100);
  return (
    <div class={one.enough ? "" : "loud"}>
      <dt>{one.product}</dt>
      <dd>
        {litres(have_l)} left, {one.needed_l > 0 ? `${litres(one.needed_l)} needed` : "none needed any more"}
        <b>{one.enough ? " ✓ enough" : ` ▲ ${litres(one.needed_l - have_l)} short`}</b>
        {other > 0 && (
          <span class="quiet">
            {" "}
            (a coat takes {other} % {one.used_ratio > 1 ? "more" : "less"} than planned)
          </span>
        )}
      </dd>
    </div>
  );
}

export function Taught() {
  const { learned, units } = useScreen();
  const lines = [
    ...learned.clocks.map((one) => `${one.product}: ${one.text} (${count(one.tests, "coat")} touched)`),
    ...learned.surfaces.map((one) => `${surfaceWords(one, units)} (${count(one.readings, "reading")})`),
  ];
  if (!lines.length) return null;
  return (
    <section class="panel" aria-labelledby="taught">
      <h2 id="taught">What the day taught</h2>
      <ul>
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </section>
  );
}

const count = (number: number, word: string): string => `${number} ${word}${number === 1 ? "" : "s"}`;

export function Plan() {
  const { store } = useScreen();
  const [said, say] = useState<Problem[]>([]);
  const answer = store.answer;
  if (!answer) return null;
  const busy = answer.state === "computing";
  const problems = [...answer.problems, ...said];
  const skipper = store.role === "skipper";
  if (!skipper && !busy && !answer.stale && !answer.changes.length && !problems.length) return null;
  return (
    <section class="panel" aria-labelledby="plan">
      <h2 id="plan">Plan</h2>
      {answer.stale && <p class="bad">▲ {answer.stale}</p>}
      {busy && <p role="status">Working out the plan… {answer.words}</p>}
      <Changes lines={answer.changes} />
      <Problems problems={problems} />
      {skipper && (
        <button type="button" class="full" disabled={busy} onClick={() => void store.replan().then(say)}>
          Replan from here with the newest weather
        </button>
      )}
    </section>
  );
}

const AT_ONCE = 3;

/** What the last replan changed and why: the first lines in sight, the others a tap away. */
function Changes({ lines }: { lines: string[] }) {
  const list = (some: string[]) => (
    <ul class="changes">
      {some.map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ul>
  );
  if (!lines.length) return null;
  const more = lines.slice(AT_ONCE);
  return (
    <>
      {list(lines.slice(0, AT_ONCE))}
      {more.length > 0 && (
        <details>
          <summary>{count(more.length, "more change")}</summary>
          {list(more)}
        </details>
      )}
    </>
  );
}

export const Problems = ({ problems }: { problems: Problem[] }) => (
  <>
    {problems.map((one) => (
      <p class="bad" key={one.where + one.found}>
        ▲ {one.where}: {one.found}. Allowed: {one.allowed}. {one.advice}
      </p>
    ))}
  </>
);
