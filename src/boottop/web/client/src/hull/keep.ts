/** The last picture of each job that this phone saw, in IndexedDB, for when the server is out of reach. */

import type { Picture } from "./picture";

const PATIENCE_MS = 8000;

const opened = (): Promise<IDBDatabase> =>
  new Promise((done, failed) => {
    const request = indexedDB.open("boottop-hull", 1);
    request.onupgradeneeded = () => request.result.createObjectStore("pictures");
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });

async function kept(key: string): Promise<Picture | undefined> {
  const base = await opened();
  return new Promise((done, failed) => {
    const request = base.transaction("pictures").objectStore("pictures").get(key);
    request.onsuccess = () => done(request.result as Picture | undefined);
    request.onerror = () => failed(request.error);
  });
}

async function keep(key: string, picture: Picture): Promise<void> {
  const base = await opened();
  base.transaction("pictures", "readwrite").objectStore("pictures").put(picture, key);
}

export interface Found {
  picture: Picture;
  fresh: boolean;
}

/** The newest picture the server has, else the one kept here; nothing when there is neither. */
export async function pictureOf(job: string, units: string): Promise<Found | null> {
  const key = `${job} ${units}`;
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE_MS);
  try {
    const place = `/api/jobs/${encodeURIComponent(job)}/picture`;
    const answer = await fetch(place, { credentials: "same-origin", cache: "no-store", signal: stop.signal });
    if (!answer.ok) throw new Error(String(answer.status));
    const picture = (await answer.json()) as Picture;
    await keep(key, picture).catch(() => undefined);
    return { picture, fresh: true };
  } catch {
    const picture = await kept(key).catch(() => undefined);
    return picture ? { picture, fresh: false } : null;
  } finally {
    clearTimeout(timer);
  }
}
