/** A picture for the record: its hash, made here because plain http has no `crypto.subtle`. */

import type { Photo } from "../core/db";
import { sha256 } from "../core/ids";
import type { Data, Errors } from "./draft";

const PHOTO_MAX = 30_000_000;
const BY_ENDING: { [ending: string]: string } = {
  jpg: "image/jpeg",
  jpeg: "image/jpeg",
  png: "image/png",
  webp: "image/webp",
  heic: "image/heic",
  heif: "image/heif",
  avif: "image/avif",
};

export interface Taken {
  data: Data;
  errors: Errors;
  photo?: Photo;
}

export async function photoOf(file: File | null): Promise<Taken> {
  if (!file) return { data: {}, errors: { photo: "Take or choose a picture." } };
  const type = file.type || (BY_ENDING[file.name.split(".").at(-1)?.toLowerCase() ?? ""] ?? "");
  if (!Object.values(BY_ENDING).includes(type))
    return { data: {}, errors: { photo: "Take a JPEG, PNG, WebP, HEIC or AVIF picture." } };
  if (file.size > PHOTO_MAX) return { data: {}, errors: { photo: "It is larger than 30 MB: take a smaller one." } };
  const hash = sha256(new Uint8Array(await file.arrayBuffer()));
  const data = { sha256: hash, name: file.name.slice(-120) || "photo", bytes: file.size };
  return { data, errors: {}, photo: { sha256: hash, type, file } };
}
