/** What was written down last, each line open to correction; and what the server would not take. */

import { useState } from "preact/hooks";
import type { Refused } from "../core/db";
import { parseTime, type Event } from "../rules/events";
import { ODDITY_TEXT } from "../rules/state";
import { Problems } from "./Below";
import { useScreen } from "./context";
import { eventLine } from "./words";

const SHORT = 8;
const LATE_MS = 120_000;

export function Log() {
  const { settled, mayLog, open } = useScreen();
  const [all, showAll] = useState(false);
  const events = [...settled.events].reverse();
  const seen = all ? events : events.slice(0, SHORT);
  return (
    <section class="panel written" aria-labelledby="log">
      <h2 id="log">Written down</h2>
      {!events.length && <p>Nothing yet.</p>}
      <ol class="lines">
        {seen.map(({ event, happened_ms }) => (
          <li key={event.id}>
            <Line event={event} happened_ms={happened_ms} />
            {mayLog && (
              <button type="button" class="aside" onClick={() => open({ is: "correct", event })}>
                Correct<span class="unseen"> {event.kind.replaceAll("_", " ")}</span>
              </button>
            )}
          </li>
        ))}
      </ol>
      {events.length > seen.length && (
        <button type="button" class="aside" onClick={() => showAll(true)}>
          Show all {events.length}
        </button>
      )}
    </section>
  );
}

function Line({ event, happened_ms }: { event: Event; happened_ms: number }) {
  const { store, settled, state, units, yard, now_s } = useScreen();
  const recorded_ms = parseTime(event.recorded) ?? happened_ms;
  const odd = state.oddities.filter((one) => one.event === event.id);
  return (
    <div class="line">
      <p>
        <b>{yard.at(happened_ms / 1000, now_s)}</b> {event.zone ? `${event.zone}: ` : ""}
        {eventLine(event, units)}
      </p>
      <p class="quiet">
        {event.who}
        {recorded_ms - happened_ms > LATE_MS && `, typed ${yard.at(recorded_ms / 1000, now_s)}`}
        {settled.correctedBy.has(event.id) && ", corrected"}
        {store.memory.isWaiting(event.id) && <b>, waiting to be sent</b>}
      </p>
      {odd.map((one) => (
        <p class="bad" key={one.kind}>
          ▲ {ODDITY_TEXT[one.kind]}
        </p>
      ))}
    </div>
  );
}

export function Attention() {
  const { store } = useScreen();
  if (!store.refused.length) return null;
  return (
    <section class="panel loud" aria-labelledby="attention">
      <h2 id="attention">Needs your attention</h2>
      <p>The laptop would not take these. They are still on this phone.</p>
      <ul class="lines">
        {store.refused.map((one) => (
          <Wrong key={one.id} one={one} />
        ))}
      </ul>
    </section>
  );
}

function Wrong({ one }: { one: Refused }) {
  const { store, units, open } = useScreen();
  const [sure, ask] = useState(false);
  const { event, problem } = one;
  return (
    <li>
      <div class="line">
        <p>
          <b>{event.zone}</b> {eventLine(event, units)}
        </p>
        <Problems problems={[problem]} />
      </div>
      <div class="trio">
        {event.kind !== "correction" && (
          <button
            type="button"
            onClick={() => open({ is: "form", kind: event.kind, zone: event.zone, preset: event.data })}
          >
            Write it again
          </button>
        )}
        <button type="button" onClick={() => (sure ? void store.dropRefused(one.id) : ask(true))}>
          {sure ? "Yes, take it off" : "Take it off the list"}
        </button>
      </div>
    </li>
  );
}
