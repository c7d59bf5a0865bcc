/** What the log says once doubles are dropped and corrections are applied; see `boottop.job.settle`. */

import { compareText, NOT_CORRECTED, parseTime, type Event, type Json } from "./events";

/** An event with its times in epoch milliseconds. */
export interface Timed {
  event: Event;
  happened_ms: number;
  recorded_ms: number;
}

export interface Settled {
  events: Timed[];
  struck: string[];
  correctedBy: Map<string, string>;
  lost: Event[];
  doubled: Event[];
}

export function settle(events: Iterable<Event>): Settled {
  const { kept, doubled } = withoutDoubles(events);
  const corrections = new Map([...kept].filter(([, one]) => one.event.kind === "correction"));
  const depth = depths(kept, corrections);
  const lost = [...corrections.keys()].filter((id) => !depth.has(id)).sort(compareText);
  const now = new Map(kept);
  const struck = new Set<string>();
  const correctedBy = new Map<string, string>();
  const named = new Map<string, string[]>();
  for (const id of depth.keys()) {
    const at = target(corrections.get(id) as Timed);
    named.set(at, [...(named.get(at) ?? []), id]);
  }
  const inwards = [...named.keys()].sort((one, other) => (depth.get(other) ?? 0) - (depth.get(one) ?? 0));
  for (const at of inwards) {
    const live = (named.get(at) as string[]).filter((id) => !struck.has(id));
    if (!live.length) continue;
    const last = live.reduce((best, id) => (isLater(kept, id, best) ? id : best));
    const holds = now.get(last) as Timed;
    correctedBy.set(at, last);
    if (holds.event.data["strike"] === "yes") struck.add(at);
    else now.set(at, corrected(now.get(at) as Timed, holds.event));
  }
  const counting = [...now].filter(([id]) => !corrections.has(id) && !struck.has(id)).map(([, one]) => one);
  return {
    events: counting.sort(inTime),
    struck: [...struck].filter((id) => !corrections.has(id)).sort(compareText),
    correctedBy,
    lost: lost.map((id) => (kept.get(id) as Timed).event),
    doubled: [...doubled].sort(compareText).map((id) => (kept.get(id) as Timed).event),
  };
}

function isLater(kept: Map<string, Timed>, id: string, best: string): boolean {
  const [one, other] = [kept.get(id) as Timed, kept.get(best) as Timed];
  return one.recorded_ms - other.recorded_ms > 0 || (one.recorded_ms === other.recorded_ms && compareText(id, best) > 0);
}

function withoutDoubles(events: Iterable<Event>): { kept: Map<string, Timed>; doubled: Set<string> } {
  const kept = new Map<string, Timed>();
  const doubled = new Set<string>();
  for (const event of events) {
    const happened_ms = parseTime(event.happened);
    const recorded_ms = parseTime(event.recorded);
    if (happened_ms === null || recorded_ms === null) continue;
    const timed = { event, happened_ms, recorded_ms };
    const known = kept.get(event.id);
    if (!known) kept.set(event.id, timed);
    else if (known.event !== event) {
      const order = compareFirst(timed, known);
      if (order !== 0) doubled.add(event.id);
      if (order < 0) kept.set(event.id, timed);
    }
  }
  return { kept, doubled };
}

function compareFirst(one: Timed, other: Timed): number {
  const [a, b] = [one.event, other.event];
  return (
    one.recorded_ms - other.recorded_ms ||
    one.happened_ms - other.happened_ms ||
    compareText(a.kind, b.kind) ||
    compareText(a.device, b.device) ||
    a.order - b.order ||
    compareText(a.who, b.who) ||
    compareText(a.zone ?? "", b.zone ?? "") ||
    compareText(dumped(a.data), dumped(b.data))
  );
}

/** JSON as Python's `json.dumps(..., sort_keys=True)` writes it, so that both sides order the same texts. */
function dumped(value: Json): string {
  if (Array.isArray(value)) return `[${value.map(dumped).join(", ")}]`;
  if (value !== null && typeof value === "object") {
    const keys = Object.keys(value).sort(compareText);
    return `{${keys.map((key) => `${dumped(key)}: ${dumped(value[key] as Json)}`).join(", ")}}`;
  }
  return JSON.stringify(value).replace(
    /[\u007f-\uffff]/g,
    (letter) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, "0")}`,
  );
}

function inTime(one: Timed, other: Timed): number {
  return (
    one.happened_ms - other.happened_ms ||
    one.recorded_ms - other.recorded_ms ||
    compareText(one.event.id, other.event.id)
  );
}

const target = (correction: Timed): string => String(correction.event.data["corrects"]);

/** How many steps each correction is from the event at the end of its chain; those that reach none are left out. */
function depths(kept: Map<string, Timed>, corrections: Map<string, Timed>): Map<string, number> {
  const depth = new Map<string, number>();
  for (const id of corrections.keys()) {
    const chain: string[] = [];
    const walked = new Set<string>();
    let at = id;
    while (corrections.has(at) && !depth.has(at) && !walked.has(at)) {
      walked.add(at);
      chain.push(at);
      at = target(corrections.get(at) as Timed);
    }
    if (walked.has(at) || !kept.has(at) || (corrections.has(at) && !depth.has(at))) continue;
    const below = depth.get(at) ?? 0;
    chain.reverse().forEach((link, step) => depth.set(link, below + step + 1));
  }
  return depth;
}

function corrected(timed: Timed, correction: Event): Timed {
  const event = timed.event;
  const data = { ...event.data };
  let happened_ms = timed.happened_ms;
  for (const [name, value] of Object.entries(correction.data)) {
    if (NOT_CORRECTED.includes(name)) continue;
    if (value === null && event.kind !== "correction") delete data[name];
    else data[name] = value;
  }
  const said = correction.data["happened"];
  if (typeof said === "string") {
    if (event.kind === "correction") data["happened"] = said;
    else happened_ms = parseTime(said) ?? happened_ms;
  }
  return { event: { ...event, zone: correction.zone || event.zone, data }, happened_ms, recorded_ms: timed.recorded_ms };
}
