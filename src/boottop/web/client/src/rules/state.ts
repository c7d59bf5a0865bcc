/** The state of a job as its events have it, in the shape in which Python writes it; times are epoch seconds. */

export interface Touch {
  at_s: number;
  verdict: string;
  who: string;
}

export interface Coat {
  product: string;
  coat: number;
  started_s: number | null;
  finished_s: number | null;
  people: number | null;
  litres: number | null;
  who: string;
  touch: Touch[];
}

export interface ZoneState {
  zone: string;
  stripped_s: number | null;
  abraded_s: number | null;
  masked_s: number | null;
  wiped_s: number | null;
  activated_s: number | null;
  coats: Coat[];
  taken_off: number;
}

export interface Batch {
  id: string;
  product: string;
  mixed_s: number;
  litres: number;
  batch_c: number | null;
  kit: string | null;
  lots: { [part: string]: string };
  who: string;
  done_s: number | null;
  thrown_l: number;
}

export interface Material {
  product: string;
  mixed_l: number;
  thrown_l: number;
}

export interface Rain {
  began_s: number;
  ended_s: number | null;
}

export interface Reading {
  at_s: number;
  zone: string | null;
  air_c: number | null;
  humidity: number | null;
  surface_c: number | null;
  wet_film_um: number | null;
}

export interface Oddity {
  kind: string;
  event: string;
  zone: string | null;
  product: string | null;
  coat: number | null;
}

export interface State {
  zones: ZoneState[];
  batches: Batch[];
  materials: Material[];
  rain: Rain[];
  raining: boolean;
  readings: Reading[];
  stands: { stand_set: number; at_s: number }[];
  work: { name: string; at_s: number }[];
  hauled_s: number | null;
  washed_s: number | null;
  launched_s: number | null;
  notes: { at_s: number; zone: string | null; who: string; text: string }[];
  photos: number;
  oddities: Oddity[];
  events: number;
  struck: number;
  latest_s: number | null;
}

export const ODDITY_TEXT: { [kind: string]: string } = {
  same_id: "two different events came with one id; the one recorded first counts",
  correction_lost: "a correction of an event that is not here (yet), or of itself by a detour",
  coat_without_start: "finished, but its start was not written down",
  coat_before_start: "finished before it was started",
  coat_twice: "finished twice; the later time counts. Strike one if it is the same coat",
  coat_out_of_order: "finished before the coat under it was",
  coat_on_coat: "started before the coat under it was finished",
  touch_without_coat: "touched before it was finished, or without being written down as finished",
  batch_lost: "a batch used up that is not here (yet)",
  batch_done_twice: "used up twice; the first time counts",
  batch_before_mixed: "used up before it was mixed",
  thrown_more: "more was thrown away than was mixed",
  rain_ended_alone: "rain ended whose beginning was not written down",
  rain_began_twice: "rain began again before it had ended; the first beginning counts",
  coat_after_launch: "finished after the launch",
  field_lost: "a correction took away a field that is needed; the event is left out",
};
