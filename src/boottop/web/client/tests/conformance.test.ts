/** The same events, tables and moments as the Python suite: state and board must be equal, numbers to 1e-9. */

import { expect, test } from "vitest";
import text from "../../../../../tests/conformance/board.json?raw";
import type { Event } from "../src/rules/events";
import { fold } from "../src/rules/fold";
import { learn } from "../src/rules/learn";
import { boardAt } from "../src/rules/nextStep";
import { tableOf, type WireTable } from "../src/rules/table";

interface Case {
  name: string;
  table: number;
  events: Event[];
  state: unknown;
  learned: unknown;
  asks: { now_s: number; board: unknown }[];
}

const file = JSON.parse(text) as { format: number; tables: WireTable[]; cases: Case[] };
const tables = file.tables.map(tableOf);

/** Where two values differ, as "path: found, wanted"; empty where they agree. */
function differences(found: unknown, wanted: unknown, path = ""): string[] {
  if (typeof found === "number" && typeof wanted === "number")
    return Math.abs(found - wanted) <= 1e-9 ? [] : [`${path}: ${found}, ${wanted}`];
  if (found === null || wanted === null || typeof found !== "object" || typeof wanted !== "object")
    return found === wanted ? [] : [`${path}: ${JSON.stringify(found)}, ${JSON.stringify(wanted)}`];
  const keys = new Set([...Object.keys(found), ...Object.keys(wanted)]);
  const [one, other] = [found as { [key: string]: unknown }, wanted as { [key: string]: unknown }];
  return [...keys].flatMap((key) => differences(one[key], other[key], `${path}/${key}`));
}

test("the file is of the format that this suite reads, and has cases", () => {
  expect(file.format).toBe(1);
  expect(file.cases.length).toBeGreaterThanOrEqual(20);
});

test.each(file.cases)("$name", ({ table, events, state, learned, asks }) => {
  const known = tables[table];
  if (!known) throw new Error("the case names no table");
  const folded = fold(events);
  const taught = learn(folded, known);
  expect(differences(folded, state, "state")).toEqual([]);
  expect(differences(taught, learned, "learned")).toEqual([]);
  for (const { now_s, board } of asks) {
    expect(differences(boardAt(folded, known, now_s, taught), board, `board at ${now_s}`)).toEqual([]);
  }
});
