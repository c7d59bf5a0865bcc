/** The picture as the server sends it, and what it says of a zone at a time; see `boottop.report.hull_data`. */

export type Mode = "state" | "surface" | "margin" | "film";
type Run = [value: number, length: number];

export interface Zone {
  name: string;
  side: string;
  kind: string;
  area_m2: number;
  anchors: number[][];
  coats_due: number;
  steps: [at_s: number, look: string, coats: number][];
  film: [at_s: number, dry_um: number, share: number][];
  surface: Run[];
  margin: Run[];
}

export interface Time {
  start_s: number;
  slot_s: number;
  count: number;
  from_s: number;
  to_s: number;
  time_zone: string;
  midnights_s: number[];
  log_until_s: number | null;
  tasks: [start_s: number, end_s: number, label: string, zone: string][];
}

export interface Shape {
  xyz_mm: number[];
  flat_mm: number[];
  facets: number[];
  skin: number[];
  zones: { [name: string]: number };
}

export interface Picture {
  schema: string;
  version: string;
  boat: string;
  drawn: boolean;
  units: "metric" | "us";
  shape: Shape;
  zones: Zone[];
  patterns: { [name: string]: string | number };
  looks: { [key: string]: { words: string; pattern: string } };
  states: string[];
  scales: { [mode: string]: { edges: number[]; keys: string[] } };
  now_s: number;
  time: Time | null;
  flat: string;
  kits: string;
}

export interface Facts {
  state: string;
  coats: number;
  surface_c: number | null;
  margin_k: number | null;
  dry_um: number;
  share: number;
}

/** The last of a list in order of time that has begun. */
function last<T extends [number, ...unknown[]]>(list: T[], at_s: number): T | undefined {
  let found: T | undefined;
  for (const one of list) if (one[0] <= at_s) found = one;
  return found;
}

function inRuns(runs: Run[], slot: number): number | null {
  let left = slot;
  for (const [value, length] of runs) {
    if (left < length) return value;
    left -= length;
  }
  return runs.length ? (runs[runs.length - 1] as Run)[0] : null;
}

export function factsAt(picture: Picture, zone: Zone, at_s: number): Facts {
  const step = last(zone.steps, at_s) ?? zone.steps[0];
  const film = last(zone.film, at_s);
  const { time } = picture;
  const slot = time ? Math.min(Math.max(Math.floor((at_s - time.start_s) / time.slot_s), 0), time.count - 1) : -1;
  return {
    state: step?.[1] ?? "s-none",
    coats: step?.[2] ?? 0,
    surface_c: slot < 0 ? null : inRuns(zone.surface, slot),
    margin_k: slot < 0 ? null : inRuns(zone.margin, slot),
    dry_um: film?.[1] ?? 0,
    share: film?.[2] ?? 0,
  };
}

/** Which look a zone has, and the number that is written on it. */
export function lookOf(picture: Picture, zone: Zone, facts: Facts, mode: Mode): string {
  if (mode === "state") return facts.state;
  if (!zone.coats_due) return "none";
  const value = mode === "surface" ? facts.surface_c : mode === "margin" ? facts.margin_k : facts.share;
  const scale = picture.scales[mode];
  if (value === null || !scale) return "none";
  return scale.keys[scale.edges.filter((edge) => value >= edge).length] ?? "none";
}

const round = (value: number, places: number): string => {
  const text = value.toFixed(places);
  return Number(text) === 0 ? (0).toFixed(places) : text.replace("-", "\u2212");
};

const us = (picture: Picture): boolean => picture.units === "us";
export const surfaceWords = (picture: Picture, c: number | null): string =>
  c === null ? "" : us(picture) ? `${round(c * 1.8 + 32, 1)} °F` : `${round(c, 1)} °C`;
export const marginWords = (picture: Picture, k: number | null): string =>
  k === null ? "" : us(picture) ? `${round(k * 1.8, 1)} °F` : `${round(k, 1)} K`;
export const filmWords = (picture: Picture, um: number): string =>
  us(picture) ? `${round(um / 25.4, 1)} mil` : `${round(um, 0)} µm`;

/** What is written on a zone in the picture. */
export function tagOf(picture: Picture, zone: Zone, facts: Facts, mode: Mode): string {
  if (!zone.coats_due && mode !== "state") return "";
  if (mode === "surface") return surfaceWords(picture, facts.surface_c);
  if (mode === "margin") return marginWords(picture, facts.margin_k);
  if (mode === "film") return filmWords(picture, facts.dry_um);
  return picture.looks[facts.state]?.words ?? "";
}

/** Times at which something changes on the slider, in order. */
export function changesOf(picture: Picture): number[] {
  const { time } = picture;
  if (!time) return [];
  const all = picture.zones.flatMap((zone) => zone.steps.map((step) => step[0]));
  const inside = all.filter((at_s) => at_s > time.from_s && at_s < time.to_s);
  return [...new Set(inside)].sort((a, b) => a - b);
}

/** One sentence about a time: what is under way. */
export function underWay(picture: Picture, at_s: number): string {
  const { time } = picture;
  if (!time) return "There is no plan yet: the hull is shown as she comes out.";
  const by = time.log_until_s !== null && at_s <= time.log_until_s ? "Zones as written down; the plan had" : "By the plan";
  const now = time.tasks.filter(([start, end]) => start <= at_s && at_s < end);
  const said = now.map(([, , label]) => label);
  if (said.length) return `${by}: ${said.join("; ")}.`;
  const next = time.tasks.find(([start]) => start > at_s);
  return next ? `${by}: nobody at work. Next: ${next[2]}.` : `${by}: nothing more to do.`;
}

export function timeWords(picture: Picture, at_s: number): string {
  const time_zone = picture.time?.time_zone ?? "UTC";
  const when = new Date(at_s * 1000);
  const day = new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "short", timeZone: time_zone });
  const hour = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", timeZone: time_zone });
  return `${day.format(when).replace(",", "")}, ${hour.format(when)}`;
}
