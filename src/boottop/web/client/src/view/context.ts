/** What every part of the screen may ask for. */

import { createContext } from "preact";
import { useContext } from "preact/hooks";
import type { BoardStore, Draft } from "../core/board";
import type { YardTime } from "../core/times";
import type { Units } from "../core/units";
import type { Event, Json } from "../rules/events";
import type { Learned } from "../rules/learn";
import type { Board } from "../rules/nextStep";
import type { Settled } from "../rules/settle";
import type { State } from "../rules/state";
import type { Table } from "../rules/table";

/** What the sheet at the bottom of the screen is about. */
export type Sheet =
  | { is: "form"; kind: string; zone: string | null; preset: { [field: string]: Json }; note?: string; then?: Sheet }
  | { is: "correct"; event: Event }
  | { is: "zone"; zone: string }
  | { is: "more" }
  | { is: "phone" };

export interface Screen {
  store: BoardStore;
  table: Table;
  board: Board;
  state: State;
  settled: Settled;
  learned: Learned;
  now_s: number;
  yard: YardTime;
  units: Units;
  mayLog: boolean;
  open(sheet: Sheet): void;
  close(): void;
  write(draft: Draft): Promise<void>;
}

export const ScreenContext = createContext<Screen | null>(null);

export function useScreen(): Screen {
  const found = useContext(ScreenContext);
  if (!found) throw new Error("a part of the board outside it");
  return found;
}
