/** The Today board. */

import { useEffect, useMemo, useReducer, useState } from "preact/hooks";
import type { BoardStore, Draft } from "../core/board";
import { YardTime } from "../core/times";
import { EVENT_KINDS } from "../rules/events";
import { boardAt } from "../rules/nextStep";
import type { Table } from "../rules/table";
import { Air, Head } from "./Air";
import { Notices, Warnings } from "./Alarms";
import { Plan, Pots, Problems, Taught, Tins } from "./Below";
import { type Screen, ScreenContext, type Sheet, useScreen } from "./context";
import { CorrectForm } from "./CorrectForm";
import { EventForm } from "./EventForm";
import { Attention, Log } from "./Log";
import { MoreMenu, PhoneMenu, ZoneMenu } from "./Menus";
import { ZoneBoard } from "./Zone";

/** Draws again on every change and on every whole second of the one clock. */
function useStore(store: BoardStore): number {
  const [, draw] = useReducer((count: number) => count + 1, 0);
  useEffect(() => store.subscribe(() => draw(undefined)), [store]);
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout>;
    const tick = (): void => {
      if (!document.hidden) draw(undefined);
      timer = setTimeout(tick, store.clock.untilTick_ms());
    };
    timer = setTimeout(tick, store.clock.untilTick_ms());
    return () => clearTimeout(timer);
  }, [store]);
  return store.clock.now_s();
}

export function App({ store }: { store: BoardStore }) {
  const now_s = useStore(store);
  const theme = store.choices.theme;
  useEffect(() => {
    if (theme === "auto") delete document.documentElement.dataset["theme"];
    else document.documentElement.dataset["theme"] = theme;
  }, [theme]);
  if (!store.table) return <NoTable store={store} />;
  return <Today store={store} table={store.table} now_s={now_s} />;
}

function NoTable({ store }: { store: BoardStore }) {
  const { answer, link } = store;
  let words = "Looking for the board…";
  if (link === "away") words = "No signal, and this phone has not seen this board before. Go nearer to the laptop.";
  else if (link === "shut") words = "This phone is not let in. Join with a code from the laptop.";
  else if (answer?.state === "computing") words = `Working out the plan… ${answer.words}`;
  else if (answer?.state === "none") words = "There is no plan yet. The skipper works one out.";
  else if (answer?.state === "failed") words = "The plan could not be worked out.";
  const mayAsk = store.role === "skipper" && ["none", "failed"].includes(answer?.state ?? "");
  return (
    <div class="bt empty">
      <h1>{store.boot.job_name}</h1>
      <p role="status">{words}</p>
      <Problems problems={answer?.problems ?? []} />
      {mayAsk && (
        <button type="button" class="full" onClick={() => void store.replan()}>
          Work out the plan
        </button>
      )}
    </div>
  );
}

interface Written {
  id: string;
  words: string;
}

function Today({ store, table, now_s }: { store: BoardStore; table: Table; now_s: number }) {
  const [sheet, open] = useState<Sheet | null>(null);
  const [written, setWritten] = useState<Written | null>(null);
  const yard = useMemo(() => new YardTime(table.zone_name), [table.zone_name]);
  const known = store.known();
  const screen: Screen = {
    ...known,
    ...{ store, table, now_s, yard, open },
    board: boardAt(known.state, table, now_s, known.learned),
    units: store.choices.units,
    mayLog: store.mayLog,
    close: () => open(null),
    write: async (draft: Draft) => {
      const words = `${EVENT_KINDS[draft.kind]?.label ?? draft.kind}${draft.zone ? `, ${draft.zone}` : ""}`;
      setWritten({ id: await store.write(draft), words });
    },
  };
  return (
    <ScreenContext.Provider value={screen}>
      <div class="bt">
        <Head />
        <Warnings />
        <Notices />
        <Attention />
        <Air />
        <Pots />
        <Zones />
        <div class="below">
          <Tins />
          <Taught />
          <Plan />
          <Log />
        </div>
        {store.mayLog && <Thumb written={written} forget={() => setWritten(null)} />}
        {sheet && <TheSheet key={keyOf(sheet)} sheet={sheet} />}
      </div>
    </ScreenContext.Provider>
  );
}

function Zones() {
  const { board, table } = useScreen();
  return (
    <ol class="boards" aria-label="Zones of the hull">
      {board.steps.map((step, at) => {
        const zone = table.zones[at];
        return zone && <ZoneBoard key={step.zone} step={step} zone={zone} />;
      })}
    </ol>
  );
}

const keyOf = (sheet: Sheet): string => (sheet.is === "form" ? `form ${sheet.kind}` : sheet.is);

function TheSheet({ sheet }: { sheet: Sheet }) {
  if (sheet.is === "form") return <EventForm form={sheet} />;
  if (sheet.is === "correct") return <CorrectForm event={sheet.event} />;
  if (sheet.is === "zone") return <ZoneMenu name={sheet.zone} />;
  return sheet.is === "more" ? <MoreMenu /> : <PhoneMenu />;
}

/** What is always in reach of the thumb. */
function Thumb({ written, forget }: { written: Written | null; forget(): void }) {
  const { open, board, store } = useScreen();
  const shown = written && !store.refused.some((one) => one.id === written.id) ? written : null;
  const form = (kind: string): Sheet => ({ is: "form", kind, zone: null, preset: {} });
  const undo = (): void => {
    if (!written) return;
    forget();
    void store.write({ kind: "correction", zone: null, data: { corrects: written.id, strike: "yes" } });
  };
  return (
    <div class="thumb">
      <div role="status" class="toast">
        {shown && (
          <>
            <span>✓ {shown.words}</span>
            <button type="button" onClick={undo}>
              Undo
            </button>
            <button type="button" onClick={forget}>
              OK
            </button>
          </>
        )}
      </div>
      <nav aria-label="Write down">
        <button type="button" onClick={() => open(form("batch_mixed"))}>
          Mix
        </button>
        <button type="button" onClick={() => open(form("reading"))}>
          Reading
        </button>
        <button type="button" onClick={() => open(form("rain"))}>
          {board.raining ? "Rain ended" : "Rain"}
        </button>
        <button type="button" onClick={() => open({ is: "more" })}>
          More
        </button>
      </nav>
    </div>
  );
}
