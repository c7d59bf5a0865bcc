/** What this page knows, from the phone's own store and from the server, and the one way in which it changes. */

import type { Event, Json } from "../rules/events";
import { timeText } from "../rules/events";
import { foldSettled } from "../rules/fold";
import { type Learned, learn } from "../rules/learn";
import { settle, type Settled } from "../rules/settle";
import type { State } from "../rules/state";
import { type Table, tableOf } from "../rules/table";
import { Api, type BoardAnswer, type Me } from "./api";
import { Clock } from "./clock";
import { Db, type Photo, type Problem, type Refused } from "./db";
import { uuid } from "./ids";
import { Live } from "./live";
import { Outbox } from "./outbox";

export interface Boot {
  job: string;
  job_name: string;
  role: Me["role"];
  who: string;
  units: "metric" | "us";
  theme: "auto" | "light" | "dark";
  time_zone: string;
  server_version: string;
}

export interface Choices {
  units: "metric" | "us";
  theme: "auto" | "light" | "dark";
  sound: boolean;
}

/** How the phone stands to the server: unknown yet, in touch, out of reach, or no longer let in. */
export type Link = "asking" | "live" | "away" | "shut";

export interface Draft {
  kind: string;
  zone: string | null;
  data: { [name: string]: Json };
  /** Epoch milliseconds; without it, now. */
  happened_ms?: number;
  photo?: Photo;
}

const RETRY_MS = 3000;
const POLL_MS = 10_000;

export class BoardStore {
  readonly clock = new Clock();
  readonly api: Api;
  role: Me["role"];
  who: string;
  local = false;
  choices: Choices;
  link: Link = "asking";
  heard_s: number | null = null;
  table: Table | null = null;
  answer: BoardAnswer | null = null;
  refused: Refused[] = [];
  notices: Problem[] = [];
  /** Set where the phone cannot keep what is typed: the page must stay open until it is sent. */
  keepsNothing = false;
  device = "";
  /** The version of a newer board that the server has, empty while this is the newest. */
  newVersion = "";

  private db: Db | null = null;
  private outbox: Outbox | null = null;
  private log = new Map<string, Event>();
  private seq = 0;
  private sent = new Map<string, Event>();
  private queue = new Map<string, Event>();
  /** Tapped, and on their way to the phone's store. */
  private tapped = new Map<string, Event>();
  /** Tapped, and the phone could not keep them. */
  private unkept = new Map<string, Event>();
  private commits = 0;
  private reading: Promise<void> = Promise.resolve();
  private opened: Promise<void> = Promise.resolve();
  private listeners = new Set<() => void>();
  private others: BroadcastChannel | null = null;
  private pulling: Promise<void> | null = null;
  private pullAgain = false;
  private retry: ReturnType<typeof setTimeout> | undefined;
  private folded: { settled: Settled; state: State; learned: Learned } | null = null;

  constructor(readonly boot: Boot) {
    this.api = new Api(boot.job, this.clock);
    this.api.onSkew = () => {
      void this.db?.setMeta("skew_ms", this.clock.skew_ms);
    };
    this.role = boot.role;
    this.who = boot.who;
    this.choices = { units: boot.units, theme: boot.theme, sound: true };
  }

  // What is shown ---------------------------------------------------------------------------------------------------

  subscribe(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  private changed(events = false): void {
    if (events) this.folded = null;
    for (const listener of this.listeners) listener();
  }

  /** All events that are known here, the server's copy before our own. */
  events(): Map<string, Event> {
    return new Map([...this.unkept, ...this.tapped, ...this.queue, ...this.sent, ...this.log]);
  }

  known(): { settled: Settled; state: State; learned: Learned } {
    if (!this.folded) {
      const settled = settle(this.events().values());
      const state = foldSettled(settled);
      this.folded = { settled, state, learned: this.table ? learn(state, this.table) : { clocks: [], surfaces: [] } };
    }
    return this.folded;
  }

  /** How many events the server does not have yet, counted from the tap. */
  get waiting(): number {
    return new Set([...this.queue.keys(), ...this.tapped.keys(), ...this.unkept.keys()]).size;
  }

  isWaiting(id: string): boolean {
    return this.queue.has(id) || this.tapped.has(id) || this.unkept.has(id);
  }

  get mayLog(): boolean {
    return this.role !== "guest";
  }

  // What a person does ----------------------------------------------------------------------------------------------

  /** Writes an event down; on the screen at once, on the phone within milliseconds, on the server when it can. */
  async write(draft: Draft): Promise<string> {
    const recorded_ms = this.clock.now_ms();
    const event: Event = {
      id: uuid(),
      kind: draft.kind,
      happened: timeText(Math.min(draft.happened_ms ?? recorded_ms, recorded_ms)),
      recorded: timeText(recorded_ms),
      device: this.device || "a phone",
      order: 0,
      who: this.who,
      zone: draft.zone,
      data: draft.data,
    };
    this.tapped.set(event.id, event);
    this.changed(true);
    await this.opened;
    try {
      if (!this.db) throw new Error("no store");
      const kept = await this.db.enqueue(this.boot.job, { ...event, device: this.device }, draft.photo);
      this.commits++;
      this.queue.set(event.id, kept);
      this.tell("queue");
    } catch {
      this.unkept.set(event.id, event);
      this.keepsNothing = true;
    }
    this.tapped.delete(event.id);
    this.changed(true);
    void this.flush();
    return event.id;
  }

  async dropRefused(id: string): Promise<void> {
    await this.db?.dropRefused(id);
    this.refused = this.refused.filter((one) => one.id !== id);
    this.tell("queue");
    this.changed();
  }

  async choose(choices: Partial<Choices>): Promise<void> {
    this.choices = { ...this.choices, ...choices };
    this.changed();
    await this.db?.setMeta("choices", { ...this.choices, over: this.boot.units + this.boot.theme });
  }

  async replan(): Promise<Problem[]> {
    const answer = await this.api.replan();
    if (answer.status === 202 && this.answer) this.answer = { ...this.answer, state: "computing", words: "" };
    this.changed();
    return answer.status === 0 ? [NO_ANSWER] : answer.problems;
  }

  // How it keeps in step --------------------------------------------------------------------------------------------

  async start(): Promise<void> {
    this.opened = this.open();
    await this.opened;
    this.changed(true);
    if ("BroadcastChannel" in self) {
      this.others = new BroadcastChannel("boottop-board");
      this.others.onmessage = () => void this.fromPhone().then(() => this.changed(true));
    }
    this.listen();
    await this.look();
  }

  private async open(): Promise<void> {
    try {
      this.db = await Db.open();
      this.outbox = new Outbox(this.boot.job, this.db, this.api);
      this.outbox.onOdd = (problems) => {
        this.notices = problems;
      };
      await this.whoWeAre(this.db);
      await this.fromPhone();
    } catch {
      this.db = null;
      this.keepsNothing = true;
    }
  }

  private async whoWeAre(db: Db): Promise<void> {
    const job = this.boot.job;
    this.device = (await db.meta<string>("device")) ?? "";
    if (!this.device) {
      this.device = `phone-${uuid().slice(0, 8)}`;
      await db.setMeta("device", this.device);
    }
    this.clock.skew_ms = (await db.meta<number>("skew_ms")) ?? 0;
    const me = await db.meta<Pick<Me, "role" | "who">>(`me ${job}`);
    if (me) [this.role, this.who] = [me.role, me.who];
    const kept = await db.meta<BoardAnswer>(`board ${job}`);
    if (kept) this.takeBoard(kept);
  }

  private listen(): void {
    const live = new Live(() => this.api.live(), {
      onLog: () => void this.pull(),
      onBoard: (version, state) => {
        if (version !== this.answer?.version || state !== this.answer.state || state === "computing")
          void this.fetchBoard();
      },
      onUp: (up) => {
        if (up) void this.look();
      },
      onEnded: () => this.setLink("shut"),
    });
    live.start();
    addEventListener("online", () => void this.look());
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) void this.look();
    });
    setInterval(() => {
      if (!document.hidden && this.link !== "live") void this.look();
    }, POLL_MS);
  }

  /** Asks the server for all that may be new, and sends what waits. */
  async look(): Promise<void> {
    const me = await this.api.me();
    if (me.body) {
      this.role = me.body.role;
      this.who = me.body.who || this.who;
      this.local = me.body.local;
      void this.db?.setMeta(`me ${this.boot.job}`, { role: this.role, who: this.who });
    }
    this.heardStatus(me.status);
    if (!me.body) {
      if (this.waiting) this.again();
      return;
    }
    await Promise.all([this.pull(), this.fetchBoard(), this.flush(), this.checkVersion()]);
  }

  private heardStatus(status: number): void {
    if (status === 0) this.setLink("away");
    else if (status === 401 || status === 404) this.setLink("shut");
    else if (status < 500 && status !== 429) {
      this.heard_s = this.clock.now_s();
      this.setLink("live");
    }
  }

  private setLink(link: Link): void {
    if (this.link === link) return;
    this.link = link;
    this.changed();
  }

  /** Takes what the phone keeps, one reading after the other; what is tapped meanwhile is not forgotten. */
  private fromPhone(): Promise<void> {
    this.reading = this.reading.then(() => this.readPhone()).catch(() => undefined);
    return this.reading;
  }

  private async readPhone(): Promise<void> {
    const db = this.db;
    if (!db) return;
    const job = this.boot.job;
    for (let commits = -1; commits !== this.commits; ) {
      commits = this.commits;
      // In the order in which an event moves, so that it is never between two stores.
      const queue = await db.queue(job);
      const sent = await db.sent(job);
      const log = await db.log(job, this.seq);
      if (commits !== this.commits) continue;
      this.queue = new Map(queue.map((one) => [one.event.id, one.event]));
      this.sent = new Map(sent.map((one) => [one.id, one]));
      for (const one of log) this.keepSeen(one.seq, one.event);
    }
    this.refused = await db.refused(job);
    const chosen = await db.meta<Choices & { over: string }>("choices");
    // What the page was asked for on another page of the job, later, goes before what was chosen here.
    if (chosen && chosen.over === this.boot.units + this.boot.theme) this.choices = chosen;
  }

  private keepSeen(seq: number, event: Event): void {
    this.log.set(event.id, event);
    this.seq = Math.max(this.seq, seq);
  }

  private tell(what: string): void {
    this.others?.postMessage(what);
  }

  /** Fetches what the server has after the last that is known here. */
  pull(): Promise<void> {
    if (this.pulling) this.pullAgain = true;
    else
      this.pulling = this.pullOnce().finally(() => {
        this.pulling = null;
        if (this.pullAgain) {
          this.pullAgain = false;
          void this.pull();
        }
      });
    return this.pulling as Promise<void>;
  }

  private async pullOnce(): Promise<void> {
    for (;;) {
      const answer = await this.api.events(this.seq);
      this.heardStatus(answer.status);
      if (!answer.body) return;
      const { events, seq, more } = answer.body;
      if (seq < this.seq) {
        await this.refill();
        return;
      }
      if (events.length) {
        await this.db?.keepLog(this.boot.job, events.map((one) => ({ job: this.boot.job, ...one }))).catch(() => null);
        for (const one of events) this.keepSeen(one.seq, one.event);
        for (const { event } of events) this.sent.delete(event.id);
        this.tell("log");
        this.changed(true);
      }
      if (!more) return;
    }
  }

  /** The server's log is shorter than ours: it was brought back from a copy. What it lost goes up again. */
  private async refill(): Promise<void> {
    const ours = this.events();
    const kept: { job: string; seq: number; event: Event }[] = [];
    for (let [after, more] = [0, true]; more; ) {
      const answer = await this.api.events(after);
      if (!answer.body) return;
      kept.push(...answer.body.events.map((one) => ({ job: this.boot.job, ...one })));
      after = kept.at(-1)?.seq ?? 0;
      more = answer.body.more && answer.body.events.length > 0;
    }
    for (const one of kept) ours.delete(one.event.id);
    for (const id of this.queue.keys()) ours.delete(id);
    await this.db?.keepLog(this.boot.job, kept, true);
    if (this.mayLog) await this.db?.requeue(this.boot.job, [...ours.values()]);
    [this.log, this.seq] = [new Map(), 0];
    await this.fromPhone();
    this.tell("log");
    this.changed(true);
    void this.flush();
  }

  private async fetchBoard(): Promise<void> {
    const answer = await this.api.board(this.table ? (this.answer?.version ?? "") : "");
    this.heardStatus(answer.status);
    if (!answer.body) return;
    this.takeBoard(answer.body);
    await this.db?.setMeta(`board ${this.boot.job}`, answer.body).catch(() => null);
  }

  private takeBoard(answer: BoardAnswer): void {
    this.answer = answer;
    this.clock.offset_s = answer.clock.offset_s;
    if (answer.table) this.table = tableOf(answer.table);
    this.changed(true);
  }

  async flush(): Promise<void> {
    clearTimeout(this.retry);
    if (!this.waiting || !this.mayLog) return;
    if (this.outbox && this.queue.size) {
      const flight = await this.outbox.flush();
      if (flight === "away") this.setLink("away");
      if (flight === "shut") this.setLink("shut");
      await this.fromPhone();
      this.tell("queue");
      this.changed(true);
    }
    await this.sendUnkept();
    if (this.waiting) this.again();
  }

  private async sendUnkept(): Promise<void> {
    const events = [...this.unkept.values()].slice(0, 50);
    if (!events.length) return;
    const answer = await this.api.send(events);
    for (const id of answer.body?.acknowledged ?? []) {
      this.sent.set(id, this.unkept.get(id) as Event);
      this.unkept.delete(id);
    }
    this.changed(true);
  }

  private again(): void {
    clearTimeout(this.retry);
    this.retry = setTimeout(() => void this.look(), RETRY_MS);
  }

  /** The board that this phone opened last against the one that the server has: the page may be a kept copy. */
  private async checkVersion(): Promise<void> {
    const served = (await this.api.version()).body?.board;
    const opened = await this.db?.meta<string>("version");
    if (!served || !this.db) return;
    if (!opened) await this.db.setMeta("version", served);
    else if (opened !== served && this.newVersion !== served) {
      this.newVersion = served;
      this.changed();
    }
  }

  /** Fetches the page past the browser's copy of it and opens it anew; all that is typed is kept. */
  async reload(): Promise<void> {
    await this.db?.setMeta("version", this.newVersion);
    await fetch(location.href, { cache: "reload" }).catch(() => null);
    location.reload();
  }
}

const NO_ANSWER: Problem = {
  where: "replan",
  found: "no answer from the laptop",
  allowed: "a laptop in reach",
  advice: "Go nearer to it and try again.",
};
