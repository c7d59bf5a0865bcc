/** The events that this page knows, by where they are: tapped, kept here, sent, and in the server's log. */

import type { Event } from "../rules/events";
import { foldSettled } from "../rules/fold";
import { type Learned, learn } from "../rules/learn";
import { settle, type Settled } from "../rules/settle";
import type { State } from "../rules/state";
import type { Table } from "../rules/table";
import type { Db } from "./db";

export interface Known {
  settled: Settled;
  state: State;
  learned: Learned;
}

export class Memory {
  /** The highest place of the server's log that is known here. */
  seq = 0;
  /** The id of the event at that place. */
  last = "";
  log = new Map<string, Event>();
  sent = new Map<string, Event>();
  queue = new Map<string, Event>();
  /** Tapped, and on their way to the phone's store. */
  readonly tapped = new Map<string, Event>();
  /** Tapped, and the phone could not keep them. */
  readonly unkept = new Map<string, Event>();
  private commits = 0;
  private folded: Known | null = null;

  /** Says that events or table are others than at the last folding. */
  stale(): void {
    this.folded = null;
  }

  /** All events, the server's copy before our own. */
  events(): Map<string, Event> {
    return new Map([...this.unkept, ...this.tapped, ...this.queue, ...this.sent, ...this.log]);
  }

  known(table: Table | null): Known {
    if (!this.folded) {
      const settled = settle(this.events().values());
      const state = foldSettled(settled);
      this.folded = { settled, state, learned: table ? learn(state, table) : { clocks: [], surfaces: [] } };
    }
    return this.folded;
  }

  /** What the server does not have yet, from the tap on. */
  waiting(): Event[] {
    const found = new Map([...this.queue, ...this.tapped, ...this.unkept]);
    return [...found.values()];
  }

  isWaiting(id: string): boolean {
    return this.queue.has(id) || this.tapped.has(id) || this.unkept.has(id);
  }

  enqueued(event: Event): void {
    this.commits++;
    this.queue.set(event.id, event);
  }

  seen(seq: number, event: Event): void {
    this.log.set(event.id, event);
    if (seq > this.seq) [this.seq, this.last] = [seq, event.id];
  }

  /** Reads what the phone keeps, again where something was tapped meanwhile. */
  async read(db: Db, job: string): Promise<void> {
    for (let commits = -1; commits !== this.commits; ) {
      commits = this.commits;
      // In the order in which an event moves, so that it is never between two stores.
      const queue = await db.queue(job);
      const sent = await db.sent(job);
      const log = await db.log(job, this.seq);
      if (commits !== this.commits) continue;
      this.queue = new Map(queue.map((one) => [one.event.id, one.event]));
      this.sent = new Map(sent.map((one) => [one.id, one]));
      for (const one of log) this.seen(one.seq, one.event);
    }
  }
}
