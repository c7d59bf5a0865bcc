/** What this phone keeps, all of it in IndexedDB: who it is, what waits to be sent, what the server has, the table.
 *
 * Nothing that matters is in localStorage: a killed browser loses its last writes there.
 */

import type { Event } from "../rules/events";

export interface Logged {
  job: string;
  seq: number;
  event: Event;
}

export interface Queued {
  key: number;
  job: string;
  event: Event;
}

export interface Problem {
  where: string;
  found: string;
  allowed: string;
  advice: string;
}

/** An event that the server refused and a person must look at. */
export interface Refused {
  id: string;
  job: string;
  event: Event;
  problem: Problem;
}

export interface Photo {
  sha256: string;
  type: string;
  file: Blob;
}

const STORES: { [name: string]: IDBObjectStoreParameters } = {
  meta: {},
  queue: { keyPath: "key", autoIncrement: true },
  sent: { keyPath: "event.id" },
  refused: { keyPath: "id" },
  log: { keyPath: ["job", "seq"] },
  photos: { keyPath: "sha256" },
};

export const MAX_SEQ = Number.MAX_SAFE_INTEGER;

const asked = <T>(request: IDBRequest<T>): Promise<T> =>
  new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });

export class Db {
  private constructor(private readonly base: IDBDatabase) {}

  static async open(name = "boottop-board"): Promise<Db> {
    const request = indexedDB.open(name, 1);
    request.onupgradeneeded = () => {
      for (const [store, how] of Object.entries(STORES)) request.result.createObjectStore(store, how);
    };
    const base = await asked(request);
    base.onversionchange = () => base.close();
    return new Db(base);
  }

  close(): void {
    this.base.close();
  }

  /** Runs `work` in one transaction that is on the disk when this returns. */
  private async write<T>(stores: string[], work: (at: IDBTransaction) => Promise<T>): Promise<T> {
    const at = this.base.transaction(stores, "readwrite", { durability: "strict" });
    const kept = new Promise<void>((done, failed) => {
      at.oncomplete = () => done();
      at.onabort = at.onerror = () => failed(at.error ?? new Error("the phone could not keep it"));
    });
    const [found] = await Promise.all([work(at), kept]);
    return found;
  }

  private read(store: string): IDBObjectStore {
    return this.base.transaction(store).objectStore(store);
  }

  meta<T>(key: string): Promise<T | undefined> {
    return asked(this.read("meta").get(key) as IDBRequest<T | undefined>);
  }

  async setMeta(key: string, value: unknown): Promise<void> {
    await this.write(["meta"], (at) => asked(at.objectStore("meta").put(value, key)));
  }

  /** Puts an event into the queue with the device's next running number; the photograph with it. */
  enqueue(job: string, event: Event, photo?: Photo): Promise<Event> {
    return this.write(["meta", "queue", "photos"], async (at) => {
      const order = ((await asked(at.objectStore("meta").get("order"))) as number | undefined) ?? 0;
      const numbered = { ...event, order };
      at.objectStore("meta").put(order + 1, "order");
      at.objectStore("queue").add({ job, event: numbered });
      if (photo) at.objectStore("photos").put(photo);
      return numbered;
    });
  }

  /** Puts events back into the queue as they are: the server has lost them. */
  async requeue(job: string, events: Event[]): Promise<void> {
    await this.write(["queue"], async (at) => {
      for (const event of events) at.objectStore("queue").add({ job, event });
    });
  }

  async queue(job: string): Promise<Queued[]> {
    const all = (await asked(this.read("queue").getAll())) as Queued[];
    return all.filter((one) => one.job === job);
  }

  async sent(job: string): Promise<Event[]> {
    const all = (await asked(this.read("sent").getAll())) as Queued[];
    return all.filter((one) => one.job === job).map((one) => one.event);
  }

  async refused(job: string): Promise<Refused[]> {
    const all = (await asked(this.read("refused").getAll())) as Refused[];
    return all.filter((one) => one.job === job);
  }

  /** What the server said of a batch: the acknowledged leave the queue, the refused go where a person sees them. */
  async answered(job: string, acknowledged: Queued[], refused: (Refused & { key: number })[]): Promise<void> {
    await this.write(["queue", "sent", "refused"], async (at) => {
      for (const { key, event } of acknowledged) {
        at.objectStore("queue").delete(key);
        at.objectStore("sent").put({ job, event });
      }
      for (const { key, ...one } of refused) {
        at.objectStore("queue").delete(key);
        at.objectStore("refused").put(one);
      }
    });
  }

  async dropRefused(id: string): Promise<void> {
    await this.write(["refused"], (at) => asked(at.objectStore("refused").delete(id)));
  }

  /** Events of the log after a place in it, in order. */
  async log(job: string, after = 0): Promise<Logged[]> {
    const range = IDBKeyRange.bound([job, after], [job, MAX_SEQ], true, false);
    return (await asked(this.read("log").getAll(range))) as Logged[];
  }

  /** Keeps what the server sent; with `anew` in place of all that was kept of the log. */
  async keepLog(job: string, events: Logged[], anew = false): Promise<void> {
    await this.write(["log", "sent"], async (at) => {
      if (anew) at.objectStore("log").delete(IDBKeyRange.bound([job, 0], [job, MAX_SEQ]));
      for (const one of events) {
        at.objectStore("log").put(one);
        at.objectStore("sent").delete(one.event.id);
      }
    });
  }

  photo(sha256: string): Promise<Photo | undefined> {
    return asked(this.read("photos").get(sha256) as IDBRequest<Photo | undefined>);
  }

  async dropPhoto(sha256: string): Promise<void> {
    await this.write(["photos"], (at) => asked(at.objectStore("photos").delete(sha256)));
  }
}
