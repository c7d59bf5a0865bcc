/** The state of a job as a fold over its events; see `boottop.job.fold`, whose port this is. */

import { compareText, EVENT_KINDS, type Event } from "./events";
import { settle, type Settled } from "./settle";
import type { Batch, Coat, Material, Oddity, Rain, Reading, State, ZoneState } from "./state";

type Taken = (board: Running, event: Event, at_s: number) => void;

interface OpenCoat extends Coat {
  finish: Event | null;
}

interface OpenZone {
  steps: { [step: string]: number };
  coats: Map<string, OpenCoat>;
  taken_off: number;
}

export function fold(events: Iterable<Event>): State {
  return foldSettled(settle(events));
}

export function foldSettled(settled: Settled): State {
  const board = new Running();
  for (const { event, happened_ms } of settled.events) {
    const kind = EVENT_KINDS[event.kind];
    const take = TAKE[event.kind];
    if (!kind || !take) continue;
    const lacks = Object.entries(kind.fields).some(
      ([name, word]) => !word.endsWith("?") && (event.data[name] ?? null) === null,
    );
    if (lacks || (event.zone === null && kind.zoned)) board.odd("field_lost", event);
    else take(board, event, Math.floor(happened_ms / 1000));
  }
  return stateOf(board, settled);
}

class Running {
  zones = new Map<string, OpenZone>();
  batches = new Map<string, Batch>();
  used: [Event, number][] = [];
  rain: Rain[] = [];
  raining_s: number | null = null;
  readings: Reading[] = [];
  stands = new Map<number, number>();
  work = new Map<string, number>();
  boat: { [kind: string]: number } = {};
  notes: State["notes"] = [];
  photos = 0;
  oddities: Oddity[] = [];

  zone(event: Event): OpenZone {
    const name = event.zone ?? "";
    const found = this.zones.get(name) ?? { steps: {}, coats: new Map(), taken_off: 0 };
    this.zones.set(name, found);
    return found;
  }

  odd(kind: string, event: Event): void {
    const [product, coat] = [text(event, "product"), count(event, "coat")];
    this.oddities.push({ kind, event: event.id, zone: event.zone, product, coat });
  }
}

function number(event: Event, name: string): number | null {
  const value = event.data[name];
  return typeof value === "number" ? value : null;
}

function count(event: Event, name: string): number | null {
  const value = number(event, name);
  return value === null ? null : Math.trunc(value);
}

function text(event: Event, name: string): string | null {
  const value = event.data[name];
  return typeof value === "string" ? value : null;
}

const boat: Taken = (board, event, at_s) => {
  board.boat[event.kind] = at_s;
};

const prepared =
  (step: string): Taken =>
  (board, event, at_s) => {
    board.zone(event).steps[step] = at_s;
  };

const stripped: Taken = (board, event, at_s) => {
  const zone = board.zone(event);
  zone.taken_off += zone.coats.size;
  zone.coats = new Map();
  zone.steps = { stripped_s: at_s };
};

const coatKey = (product: string, coat: number): string => `${coat} ${product}`;

function coatOf(board: Running, event: Event): OpenCoat {
  const [product, coat] = [text(event, "product") ?? "", count(event, "coat") ?? 0];
  const coats = board.zone(event).coats;
  const found = coats.get(coatKey(product, coat)) ?? {
    product,
    coat,
    started_s: null,
    finished_s: null,
    people: null,
    litres: null,
    who: "",
    touch: [],
    finish: null,
  };
  coats.set(coatKey(product, coat), found);
  return found;
}

function under(board: Running, event: Event): OpenCoat | undefined {
  const [product, coat] = [text(event, "product") ?? "", count(event, "coat") ?? 0];
  return board.zone(event).coats.get(coatKey(product, coat - 1));
}

const coatStarted: Taken = (board, event, at_s) => {
  const below = under(board, event);
  const coat = coatOf(board, event);
  if (below && below.finished_s === null) board.odd("coat_on_coat", event);
  if (coat.started_s === null) {
    if (coat.finished_s !== null) board.odd("coat_before_start", event);
    coat.started_s = at_s;
  }
  coat.who = event.who;
  coat.people = count(event, "people") ?? coat.people;
};

const coatFinished: Taken = (board, event, at_s) => {
  const below = under(board, event);
  const coat = coatOf(board, event);
  if (coat.coat > 1 && (below?.finished_s ?? null) === null) board.odd("coat_out_of_order", event);
  if (coat.finished_s !== null) board.odd("coat_twice", event);
  if ("launched" in board.boat) board.odd("coat_after_launch", event);
  coat.finish = event;
  coat.finished_s = at_s;
  coat.who = event.who;
  coat.people = count(event, "people") ?? coat.people;
  coat.litres = number(event, "litres") ?? coat.litres;
};

const touched: Taken = (board, event, at_s) => {
  const coat = coatOf(board, event);
  if (coat.finished_s === null) board.odd("touch_without_coat", event);
  coat.touch.push({ at_s, verdict: text(event, "verdict") ?? "", who: event.who });
};

const mixed: Taken = (board, event, at_s) => {
  const lots = event.data["lots"];
  const isLots = lots !== null && typeof lots === "object" && !Array.isArray(lots);
  board.batches.set(event.id, {
    id: event.id,
    product: text(event, "product") ?? "",
    mixed_s: at_s,
    litres: number(event, "litres") ?? 0,
    batch_c: number(event, "batch_c"),
    kit: text(event, "kit"),
    lots: isLots ? Object.fromEntries(Object.entries(lots).map(([part, lot]) => [part, String(lot)])) : {},
    who: event.who,
    done_s: null,
    thrown_l: 0,
  });
};

const rained: Taken = (board, event, at_s) => {
  if (text(event, "what") === "began") {
    if (board.raining_s !== null) board.odd("rain_began_twice", event);
    else board.raining_s = at_s;
  } else if (board.raining_s === null) board.odd("rain_ended_alone", event);
  else {
    board.rain.push({ began_s: board.raining_s, ended_s: at_s });
    board.raining_s = null;
  }
};

const read: Taken = (board, event, at_s) => {
  board.readings.push({
    at_s,
    zone: event.zone,
    air_c: number(event, "air_c"),
    humidity: number(event, "humidity"),
    surface_c: number(event, "surface_c"),
    wet_film_um: number(event, "wet_film_um"),
  });
};

const TAKE: { [kind: string]: Taken } = {
  hauled_out: boat,
  washed: boat,
  launched: boat,
  stripped,
  abraded: prepared("abraded_s"),
  masked: prepared("masked_s"),
  wiped: prepared("wiped_s"),
  activated: prepared("activated_s"),
  batch_mixed: mixed,
  batch_done: (board, event, at_s) => void board.used.push([event, at_s]),
  coat_started: coatStarted,
  coat_finished: coatFinished,
  touch_test: touched,
  reading: read,
  rain: rained,
  stands_moved: (board, event, at_s) => void board.stands.set(count(event, "stand_set") ?? 0, at_s),
  other_work: (board, event, at_s) => void board.work.set(text(event, "work") ?? "", at_s),
  photo: (board) => void board.photos++,
  note: (board, event, at_s) =>
    void board.notes.push({ at_s, zone: event.zone, who: event.who, text: text(event, "text") ?? "" }),
};

/** Batches used up, once all are known: one may be written down as used before it is as mixed. */
function useBatches(board: Running): void {
  for (const [event, at_s] of board.used) {
    const batch = board.batches.get(text(event, "batch") ?? "");
    if (!batch) board.odd("batch_lost", event);
    else if (batch.done_s !== null) board.odd("batch_done_twice", event);
    else {
      const thrown_l = number(event, "thrown_l") ?? 0;
      if (at_s < batch.mixed_s) board.odd("batch_before_mixed", event);
      if (thrown_l > batch.litres) board.odd("thrown_more", event);
      board.batches.set(batch.id, { ...batch, done_s: at_s, thrown_l });
    }
  }
}

function stateOf(board: Running, settled: Settled): State {
  useBatches(board);
  const names = [...board.zones.keys()].sort(compareText);
  for (const name of names) {
    for (const coat of (board.zones.get(name) as OpenZone).coats.values()) {
      if (coat.started_s === null && coat.finish) board.odd("coat_without_start", coat.finish);
    }
  }
  for (const event of settled.lost) board.odd("correction_lost", event);
  for (const event of settled.doubled) board.odd("same_id", event);
  if (board.raining_s !== null) board.rain.push({ began_s: board.raining_s, ended_s: null });
  const last = settled.events.at(-1);
  const batches = [...board.batches.values()];
  return {
    zones: names.map((name) => zoneState(name, board.zones.get(name) as OpenZone)),
    batches,
    materials: materials(batches),
    rain: board.rain,
    raining: board.raining_s !== null,
    readings: board.readings,
    stands: [...board.stands].sort(([one], [other]) => one - other).map(([stand_set, at_s]) => ({ stand_set, at_s })),
    work: [...board.work].sort(([one], [other]) => compareText(one, other)).map(([name, at_s]) => ({ name, at_s })),
    hauled_s: board.boat["hauled_out"] ?? null,
    washed_s: board.boat["washed"] ?? null,
    launched_s: board.boat["launched"] ?? null,
    notes: board.notes,
    photos: board.photos,
    oddities: board.oddities,
    events: settled.events.length,
    struck: settled.struck.length,
    latest_s: last ? Math.floor(last.happened_ms / 1000) : null,
  };
}

function zoneState(zone: string, { steps, coats, taken_off }: OpenZone): ZoneState {
  return {
    zone,
    stripped_s: steps["stripped_s"] ?? null,
    abraded_s: steps["abraded_s"] ?? null,
    masked_s: steps["masked_s"] ?? null,
    wiped_s: steps["wiped_s"] ?? null,
    activated_s: steps["activated_s"] ?? null,
    coats: [...coats.values()].map(({ finish: _finish, ...coat }) => coat),
    taken_off,
  };
}

/** Sums in order of mixing, so that every device adds the same numbers in the same order. */
function materials(batches: Batch[]): Material[] {
  const found = new Map<string, Material>();
  for (const { product, litres, thrown_l } of batches) {
    const known = found.get(product) ?? { product, mixed_l: 0, thrown_l: 0 };
    found.set(product, { product, mixed_l: known.mixed_l + litres, thrown_l: known.thrown_l + thrown_l });
  }
  return [...found.keys()].sort(compareText).map((product) => found.get(product) as Material);
}
