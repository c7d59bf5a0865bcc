/** One clock for the whole board: the phone's, put right by the server's, in the days of the job. */

const SAME_MS = 1500;
const SLOW_MS = 3000;

export class Clock {
  /** By how much the server's clock is ahead of this device's, 0 while they agree. */
  skew_ms = 0;
  /** By how much the days of the job differ from today's: the demonstration lives in the days of its weather. */
  offset_s = 0;

  constructor(private readonly own: () => number = Date.now) {}

  now_ms(): number {
    return this.own() + this.skew_ms + this.offset_s * 1000;
  }

  now_s(): number {
    return Math.floor(this.now_ms() / 1000);
  }

  /** Milliseconds until the next whole second. */
  untilTick_ms(): number {
    return 1000 - (((this.now_ms() % 1000) + 1000) % 1000);
  }

  /** Takes what the server said its time was, between the asking and the answer; true where that changes the clock.
   * A slow answer says too little, and less than a second and a half is the whole second that was cut off. */
  heard(server_s: number, asked_ms: number, answered_ms: number): boolean {
    if (answered_ms - asked_ms > SLOW_MS || answered_ms < asked_ms) return false;
    const found_ms = server_s * 1000 + 500 - (asked_ms + answered_ms) / 2;
    if (Math.abs(found_ms - this.skew_ms) <= SAME_MS) return false;
    this.skew_ms = Math.abs(found_ms) <= SAME_MS ? 0 : Math.round(found_ms);
    return true;
  }
}
