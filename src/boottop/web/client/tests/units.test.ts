/** Units as typed and shown, and the yard's clock on the nights when it is moved. */

import { describe, expect, it } from "vitest";
import { span, YardTime } from "../src/core/times";
import { shown, typed, withUnit } from "../src/core/units";

describe("units", () => {
  it("shows US measures: ounces for a pot, gallons for the tins", () => {
    expect(withUnit("volume", 1.2, "us")).toBe("40.6 US fl oz");
    expect(withUnit("volume", 3.785411784, "us")).toBe("1.00 US gal");
    expect(withUnit("volume", 17.92, "us")).toBe("4.73 US gal");
    expect(withUnit("volume", 17.92, "metric")).toBe("17.92 L");
    expect(withUnit("temperature", 17, "us")).toBe("63 °F");
    expect(withUnit("difference", 3, "us")).toBe("5 °F");
    expect(shown("wet_film_um", 130, "us")).toBe("5.1");
  });
  it("reads back what it shows, within its digits", () => {
    for (const [field, value, step] of [["litres", 1.96, 0.0015], ["batch_c", 17.5, 0.28], ["wet_film_um", 130, 1.3]] as const)
      for (const units of ["metric", "us"] as const)
        expect(Math.abs(typed(field, shown(field, value, units), units) - value)).toBeLessThanOrEqual(step);
  });
  it("takes a decimal comma and a temperature below zero", () => {
    expect(typed("litres", "1,96", "metric")).toBe(1.96);
    expect(typed("litres", "\u0661\u066b\u0669\u0666", "metric")).toBe(1.96);
    expect(typed("coat", "\u0967\uff12", "metric")).toBe(12);
    expect(typed("air_c", "-2.5", "metric")).toBe(-2.5);
    expect(typed("air_c", "14", "us")).toBeCloseTo(-10, 9);
  });
  it("says what is wrong with a number, and the bounds with their unit", () => {
    expect(() => typed("air_c", "warm", "metric")).toThrow("“warm” is no number.");
    expect(() => typed("humidity", "120", "metric")).toThrow("120 % is outside 0 to 100 %.");
    expect(() => typed("air_c", "300", "us")).toThrow("300 °F is outside -40 to 176 °F.");
    expect(() => typed("coat", "2.5", "metric")).toThrow("no whole number");
  });
});

describe("the yard's clock", () => {
  const yard = new YardTime("Europe/Berlin");
  it("shows an hour twice in autumn, and skips one in spring", () => {
    expect(yard.moments("2026-10-25T02:30")).toEqual([Date.UTC(2026, 9, 25, 0, 30), Date.UTC(2026, 9, 25, 1, 30)]);
    expect(yard.moments("2026-03-29T02:30")).toEqual([]);
    expect(yard.moments("2026-06-02T14:05")).toEqual([Date.UTC(2026, 5, 2, 12, 5)]);
  });
  it("counts down in the words of the board", () => {
    expect([724, 11_100, 187_200, 345_700, -5].map(span)).toEqual([
      "12:04",
      "3 h 05 min",
      "2 days 4 h",
      "4 days",
      "0:00",
    ]);
  });
});
