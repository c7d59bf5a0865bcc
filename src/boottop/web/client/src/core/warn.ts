/** What closes soon: said twenty and five minutes before, by page, by sound and by vibration. */

import type { Board, NextStep } from "../rules/nextStep";

export interface Warning {
  key: string;
  text: string;
  at_s: number;
}

export const BEFORE_MIN = [20, 5];

/** Everything that closes within twenty minutes of the board's moment, the nearest first. */
export function warnings(board: Board): Warning[] {
  const found: Warning[] = [];
  const add = (key: string, at_s: number | null, text: string): void => {
    if (at_s !== null && at_s > board.now_s && at_s - board.now_s <= (BEFORE_MIN[0] as number) * 60)
      found.push({ key: `${key} ${at_s}`, text, at_s });
  };
  for (const step of board.steps) add(`step ${step.zone}`, closes(step), `${step.zone}: ${closing(step)}`);
  for (const batch of board.batches) add(`pot ${batch.batch}`, batch.use_by_s, `Use up the pot of ${batch.product}`);
  if (!board.raining && board.steps.some((step) => step.kind !== "done"))
    add("rain", board.rain_at_s, "Rain is on its way");
  return found.sort((one, other) => one.at_s - other.at_s);
}

/** When the next coat, or the wiping under it, is too late; the end of other work is no one's loss. */
function closes(step: NextStep): number | null {
  if (step.kind !== "coat") return null;
  const overcoat = step.countdowns.find((one) => one.name === "overcoat_until")?.at_s ?? null;
  if (overcoat === null) return step.until_s;
  return step.until_s === null ? overcoat : Math.min(step.until_s, overcoat);
}

const closing = (step: NextStep): string =>
  step.countdowns.some((one) => one.name === "overcoat_until")
    ? `last moment to start coat ${step.coat}`
    : `coat ${step.coat} must start, or wipe again`;

/** Remembers which warnings were given, so that each is given twice and no more. */
export class Bell {
  private readonly rung = new Set<string>();

  /** Those that are due to be sounded now. */
  due(now: Warning[], now_s: number): Warning[] {
    return now.filter(({ key, at_s }) => {
      const passed = BEFORE_MIN.filter((minutes) => at_s - now_s <= minutes * 60);
      const fresh = passed.filter((minutes) => !this.rung.has(`${key} ${minutes}`));
      for (const minutes of passed) this.rung.add(`${key} ${minutes}`);
      return fresh.length > 0;
    });
  }
}

let audio: AudioContext | null = null;

/** Browsers let a page sound only after a touch. */
export function readySound(): void {
  audio ??= "AudioContext" in self ? new AudioContext() : null;
  if (audio?.state === "suspended") void audio.resume();
}

/** True while a warning could not be heard: sound is wanted, the browser has it, and the page was not touched yet. */
export const soundShut = (): boolean => "AudioContext" in self && audio?.state !== "running";

/** Three short tones and three short shakes. */
export function sound(): void {
  navigator.vibrate?.([300, 150, 300, 150, 300]);
  if (audio?.state !== "running") return;
  for (const beat of [0, 0.35, 0.7]) {
    const tone = audio.createOscillator();
    const volume = audio.createGain();
    tone.frequency.value = 880;
    volume.gain.value = 0.4;
    tone.connect(volume).connect(audio.destination);
    tone.start(audio.currentTime + beat);
    tone.stop(audio.currentTime + beat + 0.2);
  }
}
