/** The queue of the phone: what is tapped is kept, sent in order, and only what was acknowledged leaves it. */

import "fake-indexeddb/auto";
import { beforeEach, describe, expect, it } from "vitest";
import type { Answer, SentAnswer } from "../src/core/api";
import { Db } from "../src/core/db";
import { sha256, uuid } from "../src/core/ids";
import { Memory } from "../src/core/memory";
import { Outbox } from "../src/core/outbox";
import type { Event } from "../src/rules/events";

const AT = "2026-06-02T10:15:00.000Z";
const PROBLEM = { where: "humidity", found: "1.2", allowed: "0 to 1", advice: "Write it again." };

const note = (text: string): Event => ({
  ...{ id: uuid(), kind: "note", happened: AT, recorded: AT, device: "phone-1", order: 0, who: "Ana", zone: null },
  data: { text },
});

const answer = (status: number, body: Partial<SentAnswer> | null = null): Answer<SentAnswer> => ({
  status,
  body: body && { acknowledged: [], refused: [], odd: [], seq: 0, ...body },
  problems: [],
  tag: "",
});

/** A server that answers a batch by rule and remembers what was sent. */
function server(says: (batch: Event[]) => Answer<SentAnswer>) {
  const batches: Event[][] = [];
  const send = async (batch: Event[]): Promise<Answer<SentAnswer>> => {
    batches.push(batch);
    return says(batch);
  };
  return { batches, api: { send, putPhoto: async () => answer(200) } };
}

const takesAll = (batch: Event[]): Answer<SentAnswer> => answer(200, { acknowledged: batch.map((one) => one.id) });

let db: Db;
let job = "";
beforeEach(async () => {
  job = uuid();
  db = await Db.open(job);
});

describe("the outbox", () => {
  it("sends in the order of the taps, each with its running number, and empties", async () => {
    for (const text of ["one", "two", "three"]) await db.enqueue(job, note(text));
    const { api, batches } = server(takesAll);
    expect(await new Outbox(job, db, api).flush()).toBe("sent");
    expect(batches.map((batch) => batch.map((one) => [one.data["text"], one.order]))).toEqual([
      [["one", 0], ["two", 1], ["three", 2]],
    ]);
    expect([(await db.queue(job)).length, (await db.sent(job)).length]).toEqual([0, 3]);
  });

  it("keeps everything while there is no server, and says so", async () => {
    await db.enqueue(job, note("one"));
    for (const [status, flight] of [[0, "away"], [401, "shut"], [403, "shut"], [429, "again"], [503, "again"]] as const) {
      expect(await new Outbox(job, db, server(() => answer(status)).api).flush()).toBe(flight);
      expect((await db.queue(job)).length).toBe(1);
    }
  });

  it("moves what the server refuses to where a person sees it, and sends what stands behind it", async () => {
    const bad = await db.enqueue(job, note("bad"));
    await db.enqueue(job, note("good"));
    const { api } = server((batch) =>
      answer(200, {
        acknowledged: batch.filter((one) => one.id !== bad.id).map((one) => one.id),
        refused: batch.filter((one) => one.id === bad.id).map((one) => ({ id: one.id, conflict: false, problem: PROBLEM })),
      }),
    );
    expect(await new Outbox(job, db, api).flush()).toBe("sent");
    expect((await db.refused(job)).map((one) => [one.event.data["text"], one.problem])).toEqual([["bad", PROBLEM]]);
    expect((await db.sent(job)).map((one) => one.data["text"])).toEqual(["good"]);
  });

  it("halves a batch that is refused whole until the one event that is to blame stands alone", async () => {
    for (let at = 0; at < 9; at++) await db.enqueue(job, note(at === 5 ? "bad" : `good ${at}`));
    const { api } = server((batch) => (batch.some((one) => one.data["text"] === "bad") ? answer(422) : takesAll(batch)));
    expect(await new Outbox(job, db, api).flush()).toBe("sent");
    expect((await db.refused(job)).map((one) => one.event.data["text"])).toEqual(["bad"]);
    expect((await db.sent(job)).length).toBe(8);
  });
});

describe("what the page knows", () => {
  it("counts a tap as waiting at once, each event once, wherever it is", async () => {
    const memory = new Memory();
    const event = note("one");
    memory.tapped.set(event.id, event);
    expect(memory.waiting()).toEqual([event]);
    memory.enqueued(await db.enqueue(job, event));
    expect(memory.waiting().length).toBe(1);
    memory.tapped.delete(event.id);
    expect(memory.isWaiting(event.id)).toBe(true);
    memory.queue.delete(event.id);
    memory.seen(1, event);
    expect([memory.waiting().length, memory.events().size, memory.seq]).toEqual([0, 1, 1]);
  });
});

describe("identity without a secure context", () => {
  it("hashes as FIPS 180-4 prints", () => {
    const hash = (text: string): string => sha256(new TextEncoder().encode(text));
    expect(hash("abc")).toBe("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    expect(hash("")).toBe("e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    expect(hash("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq")).toBe(
      "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
    );
  });
  it("makes UUIDs of version 4", () => {
    expect(uuid()).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  });
});
