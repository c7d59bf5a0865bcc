/** The head of the board: whose boat, what time, in touch or not; rain, weather and launch in one strip. */

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
} as const;

function LinkWords() {
  const { store, mayLog } = useScreen();
  const [mark, words] = LINK[store.link];
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
  const { board, table, now_s, yard } = useScreen();
  const weather_s = table.weather_age_h === null ? null : now_s - table.made_s + table.weather_age_h * 3600;
  const ends = board.table_ends_s <= now_s;
  const launch_s = board.launch_from_s;
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
          {launch_s === null
            ? "not known yet"
            : launch_s <= now_s
              ? "cured for the water"
              : `not before ${yard.at(launch_s, now_s)}`}
        </dd>
      </div>
    </dl>
  );
}

function RainWords() {
  const { board, now_s, yard } = useScreen();
  if (board.raining) return <>▲ it rains now</>;
  if (board.rain_at_s === null) return <>none in sight</>;
  if (board.rain_at_s <= now_s) return <>▲ about now by the weather</>;
  return (
    <>
      <b class="count">{span(board.rain_at_s - now_s)}</b> to {yard.at(board.rain_at_s, now_s)}
    </>
  );
}
