/** What must not be missed: windows that close, and what is wrong with this page. */

import { useEffect, useRef, useState } from "preact/hooks";
import { span } from "../core/times";
import { Bell, sound, soundShut, type Warning, warnings } from "../core/warn";
import { Problems } from "./Below";
import { useScreen } from "./context";

export function Warnings() {
  const { board, store, now_s, yard } = useScreen();
  const bell = useRef(new Bell());
  const [heard, hear] = useState<ReadonlySet<string>>(new Set());
  const now = warnings(board);
  const stage = (one: Warning): string => `${one.key} ${one.at_s - now_s <= 300 ? 5 : 20}`;
  useEffect(() => {
    if (bell.current.due(now, now_s).length && store.choices.sound) sound();
  });
  return (
    <div role="alert" class="warnings">
      {now
        .filter((one) => !heard.has(stage(one)))
        .map((one) => (
          <div class="warning" key={one.key}>
            <p>
              <span aria-hidden="true">▲ </span>
              {one.text}, {yard.at(one.at_s, now_s)}
              <span aria-hidden="true">
                : <b class="count">{span(one.at_s - now_s)}</b>
              </span>
            </p>
            <button type="button" onClick={() => hear(new Set([...heard, stage(one)]))}>
              Heard
            </button>
          </div>
        ))}
    </div>
  );
}

const TELL_SKEW_MS = 60_000;

export function Notices() {
  const { store } = useScreen();
  const skew_ms = store.clock.skew_ms;
  return (
    <>
      {store.keepsNothing && (
        <p class="notice bad" role="alert">
          ▲ This browser cannot keep what is written down (no room, or a private window). Leave the page open until all
          is sent.
        </p>
      )}
      {store.newVersion && (
        <div class="notice">
          <p>The laptop has a newer board.</p>
          <button type="button" onClick={() => void store.reload()}>
            Load it
          </button>
        </div>
      )}
      {store.choices.sound && soundShut() && (
        <p class="quiet hint">♪ Touch the page once: only then may a browser sound its warnings.</p>
      )}
      <Problems problems={store.notices} />
      {Math.abs(skew_ms) >= TELL_SKEW_MS && (
        <p class="notice">
          This phone's clock is {Math.round(Math.abs(skew_ms) / 60_000)} min {skew_ms > 0 ? "behind" : "ahead of"} the
          laptop's; the board goes by the laptop's.
        </p>
      )}
    </>
  );
}
