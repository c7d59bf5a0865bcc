/** Parts of the log sheet: where, the picture, and what a reading means. */

import { useState } from "preact/hooks";
import { withUnit } from "../core/units";
import { EVENT_KINDS } from "../rules/events";
import { dewPoint } from "../rules/moist";
import { useScreen } from "./context";
import { dataOf } from "./draft";
import type { Values } from "./Fields";

const Wrong = ({ error }: { error: string | undefined }) =>
  error ? (
    <p class="bad" role="alert">
      ▲ {error}
    </p>
  ) : null;

interface ZoneProps {
  kind: string;
  zone: string | null;
  error: string | undefined;
  set(zone: string | null): void;
}

export function ZoneField({ kind, zone, error, set }: ZoneProps) {
  const { table } = useScreen();
  return (
    <div class={error ? "field amiss" : "field"}>
      <label for="f-zone">Where</label>
      <select id="f-zone" value={zone ?? ""} onChange={(chosen) => set(chosen.currentTarget.value || null)}>
        <option value="">{EVENT_KINDS[kind]?.zoned ? "choose" : "the whole boat"}</option>
        {table.zones.map(({ name }) => (
          <option key={name}>{name}</option>
        ))}
      </select>
      <Wrong error={error} />
    </div>
  );
}

export function PhotoField({ set, error }: { set(file: File | null): void; error: string | undefined }) {
  const [seen, see] = useState("");
  return (
    <div class={error ? "field amiss" : "field"}>
      <label for="f-photo">Picture</label>
      <input
        id="f-photo"
        type="file"
        accept="image/*"
        capture="environment"
        onChange={(chosen) => {
          const file = chosen.currentTarget.files?.[0] ?? null;
          if (seen) URL.revokeObjectURL(seen);
          see(file ? URL.createObjectURL(file) : "");
          set(file);
        }}
      />
      {seen && <img src={seen} alt="The picture that was taken" />}
      <Wrong error={error} />
    </div>
  );
}

/** What the reading means, before it is written down. */
export function DewHint({ values, zone }: { values: Values; zone: string | null }) {
  const { units, table } = useScreen();
  const { air_c, humidity, surface_c } = dataOf("reading", values, units).data;
  if (typeof air_c !== "number" || typeof humidity !== "number" || humidity <= 0) return null;
  const dew_c = dewPoint(air_c, humidity);
  const systems = table.zones.filter((one) => !zone || one.name === zone).flatMap((one) => one.systems);
  const limit_k = Math.max(0, ...systems.map((one) => one.dew_margin_k));
  const margin_k = typeof surface_c === "number" ? surface_c - dew_c : null;
  const close = margin_k !== null && margin_k < limit_k;
  return (
    <p class={close ? "dewhint bad" : "dewhint"} role="status">
      Dew point {withUnit("temperature", dew_c, units)}
      {margin_k !== null && (
        <>
          ; the surface is {withUnit("difference", margin_k, units)} above it, {withUnit("difference", limit_k, units)}{" "}
          needed. <b>{close ? "▲ Do not coat." : "✓ Fit to coat."}</b>
        </>
      )}
    </p>
  );
}
