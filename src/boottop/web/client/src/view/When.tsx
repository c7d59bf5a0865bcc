/** When it happened: now, some minutes ago by two buttons, or a time that is typed. */

import { useScreen } from "./context";

export interface Moment {
  /** Minutes before the tap on "Write down". */
  ago_min: number;
  /** What the date-and-time field holds; empty while minutes count. */
  field: string;
  /** Which of the two moments of a doubled hour. */
  second: boolean;
}

export const NOW: Moment = { ago_min: 0, field: "", second: false };

export const typedAt = (field: string): Moment => ({ ago_min: 0, field, second: false });

interface Props {
  moment: Moment;
  error: string | undefined;
  change(moment: Moment): void;
}

export function When({ moment, error, change }: Props) {
  const { now_s, yard } = useScreen();
  const earlier = (minutes: number): void => change({ ...NOW, ago_min: moment.ago_min + minutes });
  const doubled = moment.field !== "" && yard.moments(moment.field).length === 2;
  return (
    <fieldset class={error ? "whenbox amiss" : "whenbox"}>
      <legend>When</legend>
      <p class="at">
        <b>{yard.at(now_s - moment.ago_min * 60, now_s)}</b>{" "}
        {moment.field ? "is now; it counts as typed below" : moment.ago_min ? `${moment.ago_min} min ago` : "now"}
      </p>
      <div class="trio">
        <button type="button" onClick={() => earlier(5)}>
          −5 min
        </button>
        <button type="button" onClick={() => earlier(15)}>
          −15 min
        </button>
        <button type="button" aria-pressed={!moment.field && !moment.ago_min} onClick={() => change(NOW)}>
          Now
        </button>
      </div>
      <label>
        <span>or the yard's time</span>
        <input
          type="datetime-local"
          name="when"
          value={moment.field}
          onInput={(typing) => change(typedAt(typing.currentTarget.value))}
        />
      </label>
      {doubled && <Doubled moment={moment} change={change} />}
      {error && (
        <p class="bad" role="alert">
          ▲ {error}
        </p>
      )}
    </fieldset>
  );
}

function Doubled({ moment, change }: Omit<Props, "error">) {
  return (
    <div role="group" aria-labelledby="doubled">
      <p id="doubled">The clocks go back in that hour: was it before or after?</p>
      <div class="trio">
        {["Before", "After"].map((words, index) => (
          <button
            type="button"
            key={words}
            aria-pressed={moment.second === (index === 1)}
            onClick={() => change({ ...moment, second: index === 1 })}
          >
            {words}
          </button>
        ))}
      </div>
    </div>
  );
}
