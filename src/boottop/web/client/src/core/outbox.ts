/** Sends what waits: in order, fifty at a time, one flight, and deletes only what the server acknowledged. */

import type { Answer, Api, SentAnswer } from "./api";
import type { Db, Problem, Queued, Refused } from "./db";

export const BATCH = 50;

/** What a flight came to: `sent` something or nothing was left, `again` later, `away` no server, `shut` out of it. */
export type Flight = "sent" | "again" | "away" | "shut";


export class Outbox {
  private flight: Promise<Flight> | null = null;
  /** Words of the server on events that it took all the same. */
  onOdd: (problems: Problem[]) => void = () => undefined;

  constructor(
    private readonly job: string,
    private readonly db: Db,
    private readonly api: Pick<Api, "send" | "putPhoto">,
  ) {}

  /** Sends all that waits; a second call while one is under way is that one. */
  flush(): Promise<Flight> {
    this.flight ??= this.fly().finally(() => {
      this.flight = null;
    });
    return this.flight;
  }

  private async fly(): Promise<Flight> {
    let size = BATCH;
    for (;;) {
      const queue = await this.db.queue(this.job);
      if (!queue.length) return "sent";
      // Words before pictures: a heavy photograph in a poor signal holds up nothing but itself.
      const words = queue.filter((one) => one.event.kind !== "photo").slice(0, size);
      const batch = words.length ? words : queue.slice(0, 1);
      if (!words.length) {
        const carried = await this.carryPhoto(batch[0] as Queued);
        if (carried === "refused") continue;
        if (carried !== "sent") return carried;
      }
      const answer = await this.api.send(batch.map((one) => one.event));
      if (answer.body) {
        if (!(await this.take(batch, answer.body))) return "again";
        size = BATCH;
      } else if ([400, 413, 422].includes(answer.status)) {
        if (batch.length === 1) await this.refuse(batch[0] as Queued, problemOf(answer));
        else size = Math.max(1, Math.floor(batch.length / 2));
      } else return flightOf(answer.status);
    }
  }

  /** True where the answer moved anything, so that the next turn is about something else. */
  private async take(batch: Queued[], body: SentAnswer): Promise<boolean> {
    const acknowledged = new Set(body.acknowledged);
    const refused = new Map(body.refused.map((one) => [one.id, one.problem]));
    const done = batch.filter((one) => acknowledged.has(one.event.id));
    const bad = batch.flatMap((one) => {
      const problem = refused.get(one.event.id);
      return problem && !acknowledged.has(one.event.id) ? [refusedOf(one, problem)] : [];
    });
    await this.db.answered(this.job, done, bad);
    if (body.odd.length) this.onOdd(body.odd.map((one) => one.problem));
    return done.length + bad.length > 0;
  }

  private refuse(one: Queued, problem: Problem): Promise<void> {
    return this.db.answered(this.job, [], [refusedOf(one, problem)]);
  }

  private async carryPhoto(one: Queued): Promise<Flight | "refused"> {
    const photo = await this.db.photo(String(one.event.data["sha256"]));
    if (!photo) return "sent"; // carried before, its event was not
    const answer = await this.api.putPhoto(photo);
    if (answer.status >= 200 && answer.status < 300) {
      await this.db.dropPhoto(photo.sha256);
      return "sent";
    }
    if (![400, 413, 415, 422].includes(answer.status)) return flightOf(answer.status);
    await this.refuse(one, problemOf(answer));
    return "refused";
  }
}

const refusedOf = ({ key, job, event }: Queued, problem: Problem): Refused & { key: number } => ({
  key,
  id: event.id,
  job,
  event,
  problem,
});

const flightOf = (status: number): Flight => (status === 0 ? "away" : [401, 403, 404].includes(status) ? "shut" : "again");

function problemOf(answer: Answer<unknown>): Problem {
  const found = `the server refused it (${answer.status})`;
  return answer.problems[0] ?? { where: "event", found, allowed: "what the server takes", advice: "Write it again." };
}
