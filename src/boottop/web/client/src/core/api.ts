/** What the board asks of the server; see docs/api.md. */

import type { Event } from "../rules/events";
import type { WireTable } from "../rules/table";
import type { Clock } from "./clock";
import type { Photo, Problem } from "./db";

export interface Me {
  role: "guest" | "hand" | "skipper";
  who: string;
  device: string;
  local: boolean;
  may: { log: boolean; plan: boolean; pair: boolean };
}

export interface BoardAnswer {
  version: string;
  state: "ready" | "computing" | "failed" | "none";
  words: string;
  table: WireTable | null;
  clock: { offset_s: number; words: string };
  stale: string;
  changes: string[];
  problems: Problem[];
}

export interface EventsAnswer {
  events: { seq: number; event: Event }[];
  seq: number;
  more: boolean;
}

export interface SentAnswer {
  acknowledged: string[];
  refused: { id: string; conflict: boolean; problem: Problem }[];
  odd: { id: string; problem: Problem }[];
  seq: number;
}

/** `status` 0: no answer. */
export interface Answer<T> {
  status: number;
  body: T | null;
  problems: Problem[];
  tag: string;
}

const PATIENCE_MS = 12_000;
const PHOTO_PATIENCE_MS = 120_000;

export class Api {
  /** Called with every answer that told the server's time and so moved the clock. */
  onSkew: () => void = () => undefined;

  constructor(
    private readonly job: string,
    private readonly clock: Clock,
  ) {}

  me(): Promise<Answer<Me>> {
    return this.ask("/api/me");
  }

  /** `tag` is the `ETag` of the answer that is known, empty without one. */
  board(tag: string): Promise<Answer<BoardAnswer>> {
    return this.ask(this.at("board"), tag ? { headers: { "If-None-Match": tag } } : {});
  }

  events(after: number): Promise<Answer<EventsAnswer>> {
    return this.ask(this.at(`events?after=${after}`));
  }

  send(events: Event[]): Promise<Answer<SentAnswer>> {
    return this.ask(this.at("events"), json({ events }));
  }

  replan(): Promise<Answer<{ state: string }>> {
    return this.ask(this.at("replan"), json({}));
  }

  version(): Promise<Answer<{ board: string }>> {
    return this.ask("/api/version");
  }

  putPhoto({ sha256, type, file }: Photo): Promise<Answer<unknown>> {
    const init = { method: "PUT", headers: { "X-Boottop": "1", "Content-Type": type }, body: file };
    return this.ask(this.at(`photos/${sha256}`), init, PHOTO_PATIENCE_MS);
  }

  live(): EventSource {
    return new EventSource(this.at("live"));
  }

  private at(what: string): string {
    return `/api/jobs/${encodeURIComponent(this.job)}/${what}`;
  }

  private async ask<T>(path: string, init: RequestInit = {}, patience_ms = PATIENCE_MS): Promise<Answer<T>> {
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), patience_ms);
    const asked_ms = Date.now();
    try {
      const answer = await fetch(path, { ...init, cache: "no-store", credentials: "same-origin", signal: stop.signal });
      const found = answer.status === 304 ? null : ((await answer.json().catch(() => null)) as AnyBody | null);
      if (typeof found?.server_s === "number" && this.clock.heard(found.server_s, asked_ms, Date.now())) this.onSkew();
      return {
        status: answer.status,
        body: answer.ok ? (found as T | null) : null,
        problems: answer.ok ? [] : (found?.problems ?? []),
        tag: answer.headers.get("ETag") ?? "",
      };
    } catch {
      return { status: 0, body: null, problems: [], tag: "" };
    } finally {
      clearTimeout(timer);
    }
  }
}

interface AnyBody {
  server_s?: number;
  problems?: Problem[];
}

const json = (body: unknown): RequestInit => ({
  method: "POST",
  headers: { "X-Boottop": "1", "Content-Type": "application/json" },
  body: JSON.stringify(body),
});
