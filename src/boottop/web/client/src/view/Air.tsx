/** The head of the board: whose boat, what time, in touch or not; rain, weather and launch under it. */

import { span } from "../core/times";
import { useScreen } from "./context";
import { age } from "./words";

export function Head() {
  const { store, table, now_s, yard, open } = useScreen();
  return (
    <header class="head">
      <div class="who">
        <h1>{table.boat}</h1>
        <p>{store.boot.job_name}</p>
      </div>
      <p class="time">
        <b>{yard.clock(now_s)}</b>
        <span>{yard.date(now_s)}</span>
      </p>
      <button type="button" class="link" onClick={() => open({ is: "phone" })}>
        <LinkWords />
      </button>
    </header>
  );
}

const LINK = {
  asking: ["○", "looking for the laptop"],
  live: ["●", "in touch"],
  away: ["△", "no signal, all is kept here"],
  shut: ["■", "not let in: join again with a code"],
  outside: ["■", "not let in: open the address that boottop serve printed"],
} as const;

function LinkWords() {
  const { store, mayLog } = useScreen();
  const [mark, words] = LINK[store.link === "shut" && store.local ? "outside" : store.link];
  const waiting = store.waiting;
  return (
    <>
      <span>
        <span aria-hidden="true">{mark} </span>
        <span data-test="link">{words}</span>
      </span>
      {mayLog && (
        <b data-test="waiting" data-waiting={waiting} class={waiting ? "some" : ""}>
          {waiting ? `${waiting} waiting` : "✓ all sent"}
        </b>
      )}
    </>
  );
}

export function Air() {
  const { board, table, now_s } = useScreen();
  const weather_s = table.weather_age_h === null ? null : now_s - table.made_s + table.weather_age_h * 3600;
  const ends = board.table_ends_s <= now_s;
  return (
    <dl class="air">
      <div class={board.raining ? "loud" : ""}>
        <dt>Rain</dt>
        <dd>
          <RainWords />
        </dd>
      </div>
      <div class={ends || (weather_s ?? 0) > 12 * 3600 ? "loud" : ""}>
        <dt>Weather</dt>
        <dd>{ends ? "▲ ended: replan" : weather_s === null ? "as recorded" : age(weather_s)}</dd>
      </div>
      <div>
        <dt>Launch</dt>
        <dd>
          <LaunchWords />
        </dd>
      </div>
    </dl>
  );
}

/** The film says from when it may be; the plan, long before the last coat is on, when it shall be. */
function LaunchWords() {
  const { board, table, state, now_s, yard } = useScreen();
  if (state.launched_s !== null) return <>afloat since {yard.at(state.launched_s, now_s)}</>;
  const cured_s = board.launch_from_s;
  const planned_s = table.tasks.find((task) => task.kind === "launch")?.start_s ?? null;
  const crane = planned_s === null ? "no crane in the plan" : `planned ${yard.at(planned_s, now_s)}`;
  if (cured_s === null) return <>{crane}</>;
  if (planned_s !== null && cured_s > planned_s) return <>▲ {crane}, but not cured before {yard.at(cured_s, now_s)}</>;
  return (
    <>
      {crane}; {cured_s <= now_s ? "cured for the water" : `not before ${yard.at(cured_s, now_s)}`}
    </>
  );
}

function RainWords() {
  const { board, now_s, yard } = useScreen();
  if (board.raining) return <>▲ it rains now</>;
  if (board.rain_at_s === null) return <>none in sight</>;
  if (board.rain_at_s <= now_s) return <>▲ about now by the weather</>;
  return (
    <>
      dry for <b class="count">{span(board.rain_at_s - now_s)}</b>, until {yard.at(board.rain_at_s, now_s)}
    </>
  );
}
