/** What this page knows, from the phone's own store and from the server, and the one way in which it changes. */

import { type Event, type Json, timeText } from "../rules/events";
import { type Table, tableOf } from "../rules/table";
import { Api, type BoardAnswer, type Me } from "./api";
import { Clock } from "./clock";
import { Db, type Photo, type Problem, type Refused } from "./db";
import { uuid } from "./ids";
import { type Known, Memory } from "./memory";
import { Outbox } from "./outbox";
import { Sync } from "./sync";

export interface Choices {
  units: "metric" | "us";
  theme: "auto" | "light" | "dark";
  sound: boolean;
}

export interface Boot extends Omit<Choices, "sound"> {
  job: string;
  job_name: string;
  role: Me["role"];
  who: string;
  time_zone: string;
  server_version: string;
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

export class BoardStore {
  readonly clock = new Clock();
  readonly api: Api;
  readonly memory = new Memory();
  role: Me["role"];
  who: string;
  /** On the computer that runs the server: it is let in by the printed address, not by a code. */
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
  db: Db | null = null;
  outbox: Outbox | null = null;

  private readonly sync = new Sync(this);
  private reading: Promise<void> = Promise.resolve();
  private opened: Promise<void> = Promise.resolve();
  private listeners = new Set<() => void>();
  private others: BroadcastChannel | null = null;

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

  changed(events = false): void {
    if (events) this.memory.stale();
    for (const listener of this.listeners) listener();
  }

  known(): Known {
    return this.memory.known(this.table);
  }

  /** How many events the server does not have yet, counted from the tap. */
  get waiting(): number {
    return this.memory.waiting().length;
  }

  get mayLog(): boolean {
    return this.role !== "guest";
  }

  // What a person does ----------------------------------------------------------------------------------------------

  /** Writes an event down; on the screen at once, on the phone within milliseconds, on the server when it can. */
  async write(draft: Draft): Promise<string> {
    const event = this.eventOf(draft);
    this.memory.tapped.set(event.id, event);
    this.changed(true);
    await this.opened;
    await this.keep(event, draft.photo);
    this.memory.tapped.delete(event.id);
    this.changed(true);
    void this.sync.flush();
    return event.id;
  }

  private eventOf(draft: Draft): Event {
    const recorded_ms = this.clock.now_ms();
    return {
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
  }

  private async keep(event: Event, photo: Photo | undefined): Promise<void> {
    try {
      if (!this.db) throw new Error("no store");
      this.memory.enqueued(await this.db.enqueue(this.boot.job, { ...event, device: this.device }, photo));
      this.tell("queue");
    } catch {
      this.memory.unkept.set(event.id, event);
      this.keepsNothing = true;
    }
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

  /** Fetches the page past the browser's copy of it and opens it anew; all that is typed is kept. */
  async reload(): Promise<void> {
    await this.db?.setMeta("version", this.newVersion);
    await fetch(location.href, { cache: "reload" }).catch(() => null);
    location.reload();
  }

  // What phone and server tell it -----------------------------------------------------------------------------------

  async start(): Promise<void> {
    this.opened = this.open();
    await this.opened;
    this.changed(true);
    if ("BroadcastChannel" in self) {
      this.others = new BroadcastChannel("boottop-board");
      this.others.onmessage = () => void this.fromPhone().then(() => this.changed(true));
    }
    await this.sync.start();
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
    const me = await db.meta<Pick<Me, "role" | "who" | "local">>(`me ${job}`);
    if (me) [this.role, this.who, this.local] = [me.role, me.who, me.local];
    const kept = await db.meta<BoardAnswer>(`board ${job}`);
    if (kept) this.takeBoard(kept);
  }

  /** Takes what the phone keeps, one reading after the other; what is tapped meanwhile is not forgotten. */
  fromPhone(): Promise<void> {
    this.reading = this.reading.then(() => this.readPhone()).catch(() => undefined);
    return this.reading;
  }

  private async readPhone(): Promise<void> {
    if (!this.db) return;
    await this.memory.read(this.db, this.boot.job);
    this.refused = await this.db.refused(this.boot.job);
    const chosen = await this.db.meta<Choices & { over: string }>("choices");
    // What the page was asked for on another page of the job, later, goes before what was chosen here.
    if (chosen && chosen.over === this.boot.units + this.boot.theme) this.choices = chosen;
  }

  /** Says to the other tabs of this browser that the phone's store holds something else. */
  tell(what: string): void {
    this.others?.postMessage(what);
  }

  takeMe(me: Me): void {
    this.role = me.role;
    this.who = me.who || this.who;
    this.local = me.local;
    void this.db?.setMeta(`me ${this.boot.job}`, { role: this.role, who: this.who, local: this.local });
  }

  takeBoard(answer: BoardAnswer): void {
    this.answer = answer;
    this.clock.offset_s = answer.clock.offset_s;
    if (answer.table) this.table = tableOf(answer.table);
    this.changed(true);
  }

  takeVersion(served: string): void {
    if (this.newVersion === served) return;
    this.newVersion = served;
    this.changed();
  }

  setLink(link: Link): void {
    if (this.link === link) return;
    this.link = link;
    this.changed();
  }
}

const NO_ANSWER: Problem = {
  where: "replan",
  found: "no answer from the laptop",
  allowed: "a laptop in reach",
  advice: "Go nearer to it and try again.",
};
