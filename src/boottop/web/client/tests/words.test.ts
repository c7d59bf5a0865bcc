/** What the board says of a zone, and before a coat is begun where none is next. */

import { describe, expect, it } from "vitest";
import { YardTime } from "../src/core/times";
import type { NextStep } from "../src/rules/nextStep";
import type { State } from "../src/rules/state";
import type { Zone } from "../src/rules/table";
import { coatNote, zoneWords } from "../src/view/words";

const zone = { name: "port side", waits_for_stands: 2, systems: [{ product: "copper", coats: 4 }] } as unknown as Zone;
const bare = { zones: [], batches: [], stands: [], hauled_s: null, washed_s: null } as unknown as State;
const step = (kind: string, more: object = {}): NextStep =>
  ({ kind, product: null, coat: null, may_now: true, why_not: null, ...more }) as unknown as NextStep;

describe("before a coat is begun", () => {
  const open = { ...bare, batches: [{ product: "copper", done_s: null }] } as unknown as State;
  const note = (next: NextStep, state: State = open): string | null => coatNote(next, zone, "copper", state, "metric");
  it("says nothing where a coat is next and a batch is open", () => {
    expect(note(step("coat", { coat: 1 }))).toBeNull();
  });
  it("says what comes first, and why not now", () => {
    expect(note(step("wipe"))).toBe("The board says not now: next here is “Dust off and wipe”.");
    const why_not = { rule: "soft", text: "the film is too soft", needed: 20, had: 3.08, unit: "h" };
    expect(note(step("coat", { coat: 2, may_now: false, why_not }))).toBe(
      "The board says not now: the film is too soft: 20 h 00 min needed, 3 h 04 min so far.",
    );
    expect(note(step("launch"))).toBe("The board says not now: all coats of the sheet are on.");
  });
  it("says that there is nothing to roll", () => {
    const used = { ...bare, batches: [{ product: "copper", done_s: 5 }] } as unknown as State;
    expect(note(step("coat", { coat: 1 }), used)).toBe("No batch is open.");
    expect(note(step("coat", { coat: 1 }), bare)).toBe("No batch is open.");
  });
});

describe("how far a zone has come", () => {
  const yard = new YardTime("Europe/Berlin");
  const now_s = Date.UTC(2026, 5, 2, 12) / 1000;
  const words = (state: State): string => zoneWords(undefined, zone, state, (at_s) => yard.at(at_s, now_s));
  it("tells what was done to the whole boat", () => {
    expect(words(bare)).toBe("Nothing done here yet");
    expect(words({ ...bare, hauled_s: now_s - 7200 })).toBe("Hauled out, 12:00");
    expect(words({ ...bare, hauled_s: now_s - 7200, washed_s: now_s - 86_400 })).toBe("Washed, Mon 1 Jun 14:00");
    expect(words({ ...bare, stands: [{ stand_set: 2, at_s: now_s }] })).toBe("Stands moved off it, 14:00");
  });
});
