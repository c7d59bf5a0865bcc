/** Times as the yard's clock shows them, and back; a wall-clock time that is missing or doubled is never guessed. */

export const MINUTE_S = 60;
export const HOUR_S = 3600;

export class YardTime {
  private readonly hm: Intl.DateTimeFormat;
  private readonly hms: Intl.DateTimeFormat;
  private readonly day: Intl.DateTimeFormat;
  private readonly parts: Intl.DateTimeFormat;

  constructor(readonly timeZone: string) {
    const at = { timeZone, hourCycle: "h23" } as const;
    this.hm = new Intl.DateTimeFormat("en-GB", { ...at, hour: "2-digit", minute: "2-digit" });
    this.hms = new Intl.DateTimeFormat("en-GB", { ...at, hour: "2-digit", minute: "2-digit", second: "2-digit" });
    this.day = new Intl.DateTimeFormat("en-GB", { ...at, weekday: "short", day: "numeric", month: "short" });
    this.parts = new Intl.DateTimeFormat("en-GB", {
      ...at,
      year: "numeric",
      month: "2-digit",
      day: "2-digit",
      hour: "2-digit",
      minute: "2-digit",
      second: "2-digit",
    });
  }

  clock(at_s: number): string {
    return this.hms.format(at_s * 1000);
  }

  date(at_s: number): string {
    return this.day.format(at_s * 1000);
  }

  /** "14:05", with its day where that is not today. */
  at(at_s: number, now_s: number): string {
    const time = this.hm.format(at_s * 1000);
    return this.date(at_s) === this.date(now_s) ? time : `${this.date(at_s)} ${time}`;
  }

  private wall(at_ms: number): { [part: string]: string } {
    return Object.fromEntries(this.parts.formatToParts(at_ms).map((part) => [part.type, part.value]));
  }

  /** "2026-06-02T14:05", as a date-and-time field holds it. */
  field(at_ms: number): string {
    const part = this.wall(at_ms);
    return `${part["year"]}-${part["month"]}-${part["day"]}T${part["hour"]}:${part["minute"]}`;
  }

  /** The moments, earliest first, at which the yard's clock shows this: none, one, or two on an autumn night. */
  moments(field: string): number[] {
    const wanted = Date.parse(`${field.slice(0, 16)}:00.000Z`);
    if (Number.isNaN(wanted)) return [];
    const day_ms = 24 * HOUR_S * 1000;
    const offsets = [-day_ms, 0, day_ms].map((away) => this.offset(wanted + away));
    const found = new Set(offsets.map((offset) => wanted - offset));
    return [...found].filter((at_ms) => this.field(at_ms) === field.slice(0, 16)).sort((one, other) => one - other);
  }

  private offset(at_ms: number): number {
    const part = this.wall(at_ms);
    const shown = Date.UTC(
      Number(part["year"]),
      Number(part["month"]) - 1,
      Number(part["day"]),
      Number(part["hour"]),
      Number(part["minute"]),
      Number(part["second"]),
    );
    return shown - Math.floor(at_ms / 1000) * 1000;
  }
}

/** "4 days", "2 days 4 h", "3 h 05 min", "12:04" under an hour. */
export function span(seconds: number): string {
  const left = Math.max(0, Math.floor(seconds));
  const two = (part: number): string => String(part).padStart(2, "0");
  if (left >= 48 * HOUR_S) {
    const hours = Math.floor((left % 86_400) / HOUR_S);
    return `${Math.floor(left / 86_400)} days${hours ? ` ${hours} h` : ""}`;
  }
  if (left >= HOUR_S) return `${Math.floor(left / HOUR_S)} h ${two(Math.floor((left % HOUR_S) / MINUTE_S))} min`;
  return `${Math.floor(left / MINUTE_S)}:${two(left % MINUTE_S)}`;
}

/** A span in words for people who listen: "3 hours 5 minutes". */
export function spanWords(seconds: number): string {
  const minutes = Math.max(0, Math.round(seconds / 60));
  const [hours, rest] = [Math.floor(minutes / 60), minutes % 60];
  const many = (count: number, word: string): string => `${count} ${word}${count === 1 ? "" : "s"}`;
  if (hours && rest) return `${many(hours, "hour")} ${many(rest, "minute")}`;
  return hours ? many(hours, "hour") : many(rest, "minute");
}
