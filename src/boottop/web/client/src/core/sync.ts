/** How the page keeps in step with the server: it fetches what is new, and sends what waits. */

import type { Answer } from "./api";
import type { BoardStore } from "./board";
import type { Logged } from "./db";
import { Live } from "./live";
import { compareText, type Event } from "../rules/events";

const RETRY_MS = 3000;
const POLL_MS = 10_000;
const UNKEPT_AT_ONCE = 50;

export class Sync {
  private pulling: Promise<void> | null = null;
  private pullAgain = false;
  private boardTag = "";
  private retry: ReturnType<typeof setTimeout> | undefined;

  constructor(private readonly board: BoardStore) {}

  /** Asks at once, and from now on whenever there may be something new. */
  async start(): Promise<void> {
    const look = (): void => void this.look();
    new Live(() => this.board.api.live(), {
      onLog: () => void this.pull(),
      onBoard: (version, state) => this.onBoard(version, state),
      onUp: (up) => up && look(),
      onEnded: () => this.board.setLink("shut"),
    }).start();
    // `online` alone says nothing when only the laptop was off.
    addEventListener("online", look);
    document.addEventListener("visibilitychange", () => !document.hidden && look());
    setInterval(() => !document.hidden && this.board.link !== "live" && look(), POLL_MS);
    await this.look();
  }

  private onBoard(version: string, state: string): void {
    const known = this.board.answer;
    if (version !== known?.version || state !== known.state || state === "computing") void this.fetchBoard();
  }

  /** Asks the server for all that may be new, and sends what waits. */
  async look(): Promise<void> {
    const me = await this.board.api.me();
    if (me.body) this.board.takeMe(me.body);
    this.heard(me);
    if (me.body) await Promise.all([this.pull(), this.fetchBoard(), this.flush(), this.checkVersion()]);
    else if (this.board.waiting) this.again();
  }

  private heard({ status }: Answer<unknown>): void {
    if (status === 0) this.board.setLink("away");
    else if (status === 401 || status === 404) this.board.setLink("shut");
    else if (status < 500 && status !== 429) {
      this.board.heard_s = this.board.clock.now_s();
      this.board.setLink("live");
    }
  }

  /** Fetches what the server has after the last that is known here. */
  pull(): Promise<void> {
    if (this.pulling) this.pullAgain = true;
    else this.pulling = this.pullOnce().finally(() => this.pulled());
    return this.pulling as Promise<void>;
  }

  private pulled(): void {
    this.pulling = null;
    if (!this.pullAgain) return;
    this.pullAgain = false;
    void this.pull();
  }

  /** Asks from the last known event on: where another stands in its place, the log was brought back from a copy. */
  private async pullOnce(): Promise<void> {
    const { api, memory } = this.board;
    for (;;) {
      const { seq, last } = memory;
      const answer = await api.events(Math.max(0, seq - 1));
      this.heard(answer);
      if (!answer.body) return;
      const found = answer.body.events;
      if (seq && found[0]?.event.id !== last) return this.refill();
      const events = found.filter((one) => one.seq > seq);
      if (events.length) await this.keep(events);
      if (!answer.body.more) return;
    }
  }

  private async keep(events: Omit<Logged, "job">[]): Promise<void> {
    const { boot, db, memory } = this.board;
    await db?.keepLog(boot.job, events.map((one) => ({ job: boot.job, ...one }))).catch(() => null);
    for (const { seq, event } of events) {
      memory.seen(seq, event);
      memory.sent.delete(event.id);
    }
    this.board.tell("log");
    this.board.changed(true);
  }

  /** The server's log is not the one we know: it was brought back from a copy. What it lost goes up again. */
  private async refill(): Promise<void> {
    const { boot, db, memory, mayLog } = this.board;
    const ours = memory.events();
    const kept = await this.wholeLog();
    if (!kept) return;
    for (const one of kept) ours.delete(one.event.id);
    for (const id of memory.queue.keys()) ours.delete(id);
    await db?.keepLog(boot.job, kept, true);
    if (mayLog) await db?.requeue(boot.job, [...ours.values()].sort(asWritten));
    [memory.log, memory.seq] = [new Map(), 0];
    await this.board.fromPhone();
    this.board.tell("log");
    this.board.changed(true);
    void this.flush();
  }

  private async wholeLog(): Promise<Logged[] | null> {
    const { api, boot } = this.board;
    const kept: Logged[] = [];
    for (let more = true; more; ) {
      const answer = await api.events(kept.at(-1)?.seq ?? 0);
      if (!answer.body) return null;
      kept.push(...answer.body.events.map((one) => ({ job: boot.job, ...one })));
      more = answer.body.more && answer.body.events.length > 0;
    }
    return kept;
  }

  private async fetchBoard(): Promise<void> {
    const { api, boot, db } = this.board;
    const answer = await api.board(this.boardTag);
    this.heard(answer);
    if (!answer.body) return;
    this.boardTag = answer.tag;
    this.board.takeBoard(answer.body);
    await db?.setMeta(`board ${boot.job}`, answer.body).catch(() => null);
  }

  async flush(): Promise<void> {
    const { board } = this;
    clearTimeout(this.retry);
    if (!board.waiting || !board.mayLog) return;
    if (board.outbox && board.memory.queue.size) {
      const flight = await board.outbox.flush();
      if (flight === "away" || flight === "shut") board.setLink(flight);
      await board.fromPhone();
      board.tell("queue");
      board.changed(true);
    }
    await this.sendUnkept();
    if (board.waiting) this.again();
  }

  private async sendUnkept(): Promise<void> {
    const { api, memory } = this.board;
    const events = [...memory.unkept.values()].slice(0, UNKEPT_AT_ONCE);
    if (!events.length) return;
    const answer = await api.send(events);
    for (const event of events) {
      if (!answer.body?.acknowledged.includes(event.id)) continue;
      memory.sent.set(event.id, event);
      memory.unkept.delete(event.id);
    }
    this.board.changed(true);
  }

  private again(): void {
    clearTimeout(this.retry);
    this.retry = setTimeout(() => void this.look(), RETRY_MS);
  }

  /** The board that this phone opened last against the one that the server has: the page may be a kept copy. */
  private async checkVersion(): Promise<void> {
    const { api, db } = this.board;
    const served = (await api.version()).body?.board;
    const opened = await db?.meta<string>("version");
    if (!served || !db) return;
    if (!opened) await db.setMeta("version", served);
    else if (opened !== served) this.board.takeVersion(served);
  }
}

/** In the order in which they were written down. */
const asWritten = (one: Event, other: Event): number =>
  compareText(one.recorded, other.recorded) || one.order - other.order;
