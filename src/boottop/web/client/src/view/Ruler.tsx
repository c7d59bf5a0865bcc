/** The next twelve hours of a zone as a ruler: high where a coat may start, low where not, strokes where it rains. */

import { HOUR_S } from "../core/times";
import type { Film } from "../rules/slots";
import { useScreen } from "./context";

const HOURS = 12;
const WIDE = 320;

interface Props {
  film: Film;
  /** By slot, whether it may start. */
  starts: boolean[];
  /** What may start, in words. */
  what: string;
  now_s: number;
}

export function Ruler({ film, starts, what, now_s }: Props) {
  const { yard } = useScreen();
  const table = film.table;
  const first = Math.floor((now_s - table.start_s) / table.slot_s);
  const last = Math.min(table.count, first + (HOURS * HOUR_S) / table.slot_s);
  if (first < 0 || first >= table.count) return null;
  const x = (slot: number): number => Math.max(0, across(table.start_s + slot * table.slot_s, now_s));
  const open = runs(starts, first, last);
  const time = (slot: number): string => yard.at(table.start_s + slot * table.slot_s, now_s);
  const words = open.map(([from, end]) => `${from <= first ? "now" : time(from)} to ${time(end)}`).join("; ");
  const said = words ? `Weather to start ${what}: ${words}` : `No weather to start ${what} within ${HOURS} hours`;
  return (
    <figure class="ruler">
      <figcaption>{said}</figcaption>
      <svg viewBox={`0 0 ${WIDE} 36`} aria-hidden="true">
        <rect class="shut" x="0" y="15" width={WIDE} height="3" />
        {open.map(([from, end]) => (
          <rect key={from} class="open" x={x(from)} y="6" width={x(end) - x(from)} height="12" />
        ))}
        {runs(film.rains, first, last).map(([from, end]) => (
          <path key={from} class="rain" d={strokes(x(from), x(end))} />
        ))}
        {hours(now_s).map((at_s) => (
          <g key={at_s}>
            <line x1={across(at_s, now_s)} x2={across(at_s, now_s)} y1="15" y2="22" />
            <text x={across(at_s, now_s)} y="34">
              {yard.at(at_s, at_s)}
            </text>
          </g>
        ))}
      </svg>
    </figure>
  );
}

const across = (at_s: number, now_s: number): number => ((at_s - now_s) / (HOURS * HOUR_S)) * WIDE;

/** Every third hour whose label has room. */
function hours(now_s: number): number[] {
  const first = Math.ceil((now_s + HOUR_S * 0.7) / HOUR_S) * HOUR_S;
  return [0, 3, 6, 9].map((more) => first + more * HOUR_S).filter((at_s) => across(at_s, now_s) < WIDE - 18);
}

function runs(flags: boolean[], first: number, last: number): [number, number][] {
  const found: [number, number][] = [];
  for (let slot = first; slot < last; slot++) {
    const run = found.at(-1);
    if (!flags[slot]) continue;
    if (run?.[1] === slot) run[1] = slot + 1;
    else found.push([slot, slot + 1]);
  }
  return found;
}

function strokes(from: number, end: number): string {
  let path = "";
  for (let x = from; x <= end; x += 5) path += `M${(x + 2).toFixed(1)} 0l-2 5`;
  return path;
}
