/** Lines that are drawn on the hull: between zones, along the waterline; and a hint of the topsides above it. */

import type { Shape } from "./picture";

export interface Edges {
  /** Pairs of points (six numbers each), X to port, Y up, Z forward, metres. */
  between: Float32Array;
  waterline: Float32Array;
}

const NEAR_M = 0.02;
const FREEBOARD = 0.085;
const FLARE = 0.1;

interface Side {
  zone: number;
  skin: boolean;
  one: number;
  two: number;
}

export function edgesOf(shape: Shape, points: Float32Array): Edges {
  const sides = new Map<string, Side[]>();
  const zones: number[] = [];
  Object.values(shape.zones).forEach((count, zone) => {
    for (let k = 0; k < count; k++) zones.push(zone);
  });
  const count = shape.facets.length / 3;
  for (let facet = 0; facet < count; facet++) {
    for (let k = 0; k < 3; k++) {
      const one = shape.facets[3 * facet + k] as number;
      const two = shape.facets[3 * facet + ((k + 1) % 3)] as number;
      const key = one < two ? `${one} ${two}` : `${two} ${one}`;
      const side = { zone: zones[facet] ?? 0, skin: shape.skin[facet] === 1, one, two };
      const known = sides.get(key);
      if (known) known.push(side);
      else sides.set(key, [side]);
    }
  }
  const between: number[] = [];
  const waterline: number[] = [];
  const put = (list: number[], { one, two }: Side): void => {
    for (const end of [one, two]) for (let k = 0; k < 3; k++) list.push(points[3 * end + k] as number);
  };
  for (const [first, second] of sides.values()) {
    if (!first) continue;
    if (second) {
      if (second.zone !== first.zone) put(between, first);
    } else if (first.skin && high(points, first.one) && high(points, first.two)) put(waterline, first);
    else put(between, first);
  }
  return { between: new Float32Array(between), waterline: new Float32Array(waterline) };
}

const high = (points: Float32Array, number: number): boolean => (points[3 * number + 1] as number) > -NEAR_M;

/** Two triangles over every stretch of the waterline, up and a little outwards. */
export function topsidesOf(waterline: Float32Array): Float32Array {
  let fore = -Infinity;
  let aft = Infinity;
  for (let k = 2; k < waterline.length; k += 3) {
    fore = Math.max(fore, waterline[k] as number);
    aft = Math.min(aft, waterline[k] as number);
  }
  const length = Math.max(fore - aft, 0.1);
  const made: number[] = [];
  for (let k = 0; k + 5 < waterline.length; k += 6) {
    const one = [...waterline.subarray(k, k + 3)] as Point;
    const two = [...waterline.subarray(k + 3, k + 6)] as Point;
    const [up, over] = [raised(one, length, aft), raised(two, length, aft)];
    made.push(...one, ...two, ...over, ...one, ...over, ...up);
  }
  return new Float32Array(made);
}

type Point = [x: number, y: number, z: number];

function raised([x, , z]: Point, length: number, aft: number): Point {
  const share = (z - aft) / length;
  const rise = FREEBOARD * length * (0.8 + 0.45 * share);
  return [x + Math.sign(x) * FLARE * rise, rise, z + (share - 0.35) * 0.7 * rise];
}
