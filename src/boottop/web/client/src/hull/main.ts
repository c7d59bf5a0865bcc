/** Starts the picture in the page that carries it. */

import { pictureOf } from "./keep";
import { Panel } from "./panel";
import { Turning } from "./scene";

const STALE_MS = 60_000;
const NO_TURNING =
  "This browser cannot show a hull that turns. The flat hull below has the same colours, and the table the same in words.";
const AWAY = "The server is out of reach: this is the picture that this device saw last.";
const NOTHING = "The server is out of reach and this device has not seen the picture yet. What stands below is from when the page was loaded.";

async function start(root: HTMLElement): Promise<void> {
  const boot = JSON.parse(root.dataset["boot"] ?? "{}") as { job: string; units: string };
  const note = root.querySelector('[data-test="kept"]') as HTMLElement;
  const found = await pictureOf(boot.job, boot.units);
  if (!found) {
    note.textContent = NOTHING;
    return;
  }
  if (!found.fresh) note.textContent = AWAY;
  const panel = new Panel(root, found.picture);
  const box = root.querySelector(".stage") as HTMLElement;
  box.hidden = false;
  try {
    const turning = new Turning(box.querySelector("canvas") as HTMLCanvasElement, found.picture);
    turning.onFrame = () => panel.tags();
    turning.repaint(panel.looks());
    panel.join(turning);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => turning.repaint(panel.looks()));
  } catch {
    box.hidden = true;
    note.textContent = [note.textContent, NO_TURNING].filter(Boolean).join(" ");
  }
  root.dataset["ready"] = box.hidden ? "flat" : "turning";
  news(boot, found.picture.version);
}

/** Who comes back to the page after a while sees what was written down meanwhile. */
function news(boot: { job: string; units: string }, version: string): void {
  let seen_ms = Date.now();
  document.addEventListener("visibilitychange", () => {
    if (document.hidden || Date.now() - seen_ms < STALE_MS) return;
    seen_ms = Date.now();
    void pictureOf(boot.job, boot.units).then((found) => {
      if (found?.fresh && found.picture.version !== version) location.reload();
    });
  });
}

const root = document.getElementById("hull");
if (root) void start(root);
// The worker of the board keeps this page too, where there is one: over plain http no browser offers it.
if ("serviceWorker" in navigator && isSecureContext) {
  navigator.serviceWorker.register("/static/board/sw.js", { scope: "/jobs/" }).catch(() => undefined);
}
