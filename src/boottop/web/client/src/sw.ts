/** Keeps the page and its files for when the laptop is out of reach. Only in a secure context; the events never pass
 * through here. */

interface Waited {
  waitUntil(work: Promise<unknown>): void;
}

interface Fetched extends Waited {
  request: Request;
  respondWith(answer: Promise<Response>): void;
}

interface Worker {
  skipWaiting(): Promise<void>;
  clients: { claim(): Promise<void>; matchAll(): Promise<{ url: string }[]> };
  addEventListener(what: "install" | "activate", then: (event: Waited) => void): void;
  addEventListener(what: "fetch", then: (event: Fetched) => void): void;
}

const worker = self as unknown as Worker;
const SHELF = "boottop-board-1";
const PATIENCE_MS = 4000;
/** Pages that open without the server. */
const KEPT = ["/today", "/hull3d"];
const isKept = (path: string): boolean => KEPT.some((end) => path.endsWith(end));

worker.addEventListener("install", (event) => event.waitUntil(worker.skipWaiting()));
worker.addEventListener("activate", (event) => event.waitUntil(worker.clients.claim().then(stock)));

worker.addEventListener("fetch", (event) => {
  const { request } = event;
  const path = new URL(request.url).pathname;
  if (request.method !== "GET" || path.startsWith("/api/")) return;
  if (request.mode === "navigate" && isKept(path)) event.respondWith(newest(request));
  else if (path.startsWith("/static/")) event.respondWith(kept(request));
});

/** The page that was open before the worker came, with its files: put on the shelf at once. */
async function stock(): Promise<void> {
  const shelf = await caches.open(SHELF);
  for (const { url } of await worker.clients.matchAll()) {
    const page = await fetch(url, { credentials: "same-origin" });
    if (!page.ok || !isKept(new URL(url).pathname)) continue;
    await shelf.put(bare(url), page.clone());
    const files = [...(await page.text()).matchAll(/(?:href|src)="(\/static\/[^"]+)"/g)].map((found) => found[1] as string);
    await Promise.all(files.map((file) => shelf.add(file.replaceAll("&amp;", "&")).catch(() => undefined)));
  }
}

const bare = (url: string): string => url.split(/[?#]/)[0] as string;

/** The server's page while it answers, else the one kept; what it says anew is kept. */
async function newest(request: Request): Promise<Response> {
  const shelf = await caches.open(SHELF);
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE_MS);
  try {
    const answer = await fetch(request.url, { credentials: "same-origin", cache: "no-cache", signal: stop.signal });
    if (answer.ok && !answer.redirected) await shelf.put(bare(request.url), answer.clone());
    return answer;
  } catch {
    const known = await shelf.match(bare(request.url));
    if (known) return known;
    // Opened before the worker was there: the browser's own cache may have it. Without it this fails as it should.
    return fetch(request.url, { credentials: "same-origin", cache: "force-cache" });
  } finally {
    clearTimeout(timer);
  }
}

/** A file with its hash in the address never changes: the kept one is as good. */
async function kept(request: Request): Promise<Response> {
  const shelf = await caches.open(SHELF);
  const known = await shelf.match(request);
  if (known) return known;
  const answer = await fetch(request);
  if (answer.ok && new URL(request.url).search) await shelf.put(request, answer.clone());
  return answer;
}

export {};
