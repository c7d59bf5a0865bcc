/** Units as typed and shown; everything is kept in SI. Bounds are those of `boottop.job.check`. */

export type Units = "metric" | "us";

interface Scale {
  unit: string;
  /** Shown = kept * by + plus. */
  by: number;
  plus: number;
  digits: number;
}

const scale = (unit: string, digits: number, by = 1, plus = 0): Scale => ({ unit, by, plus, digits });

/** US liquid measures. What is mixed and rolled is typed in fluid ounces; a gallon and more is shown in gallons. */
const OUNCE_L = 0.0295735295625;
const GALLON_L = 3.785411784;
const MIL_UM = 25.4;

const SCALES: { [quantity: string]: { [units in Units]: Scale } } = {
  temperature: { metric: scale("°C", 1), us: scale("°F", 0, 1.8, 32) },
  difference: { metric: scale("K", 1), us: scale("°F", 0, 1.8) },
  volume: { metric: scale("L", 2), us: scale("US fl oz", 1, 1 / OUNCE_L) },
  bulk: { metric: scale("L", 2), us: scale("US gal", 2, 1 / GALLON_L) },
  film: { metric: scale("µm", 0), us: scale("mil", 1, 1 / MIL_UM) },
  humidity: { metric: scale("%", 0, 100), us: scale("%", 0, 100) },
  count: { metric: scale("", 0), us: scale("", 0) },
};

const QUANTITY: { [field: string]: string } = {
  litres: "volume",
  thrown_l: "volume",
  batch_c: "temperature",
  air_c: "temperature",
  surface_c: "temperature",
  humidity: "humidity",
  wet_film_um: "film",
};

export const BOUNDS: { [field: string]: [number, number] } = {
  litres: [0, 100],
  thrown_l: [0, 100],
  batch_c: [-40, 80],
  air_c: [-40, 80],
  surface_c: [-40, 80],
  humidity: [0, 1],
  wet_film_um: [0, 5000],
  coat: [1, 20],
  people: [1, 50],
  grit: [8, 5000],
  stand_set: [1, 20],
};

export const scaleOf = (field: string, units: Units): Scale =>
  (SCALES[QUANTITY[field] ?? "count"] as { [units in Units]: Scale })[units];

/** A kept value as a number in the person's unit, without the unit. */
export function shown(field: string, value: number, units: Units): string {
  const { by, plus, digits } = scaleOf(field, units);
  return String(Number((value * by + plus).toFixed(digits)));
}

/** A quantity with its unit, such as "4.2 K" or "8 °F". */
export function withUnit(quantity: string, value: number, units: Units): string {
  if (quantity === "volume" && value >= GALLON_L) return withUnit("bulk", value, units);
  const { unit, by, plus, digits } = (SCALES[quantity] as { [units in Units]: Scale })[units];
  return `${(value * by + plus).toFixed(digits)} ${unit}`;
}

/** Digits of any script as 0 to 9: keypads write those of their own language, and they are the numbers they mean. */
export function plainDigits(text: string): string {
  return text.replace(/\p{Nd}/gu, (digit) => {
    const at = digit.codePointAt(0) as number;
    let zero = at;
    while (/\p{Nd}/u.test(String.fromCodePoint(zero - 1))) zero--;
    return String((at - zero) % 10);
  });
}

/** What was typed, in SI; an Error with words for the person where it is no number or out of bounds. */
export function typed(field: string, text: string, units: Units): number {
  const { unit, by, plus, digits } = scaleOf(field, units);
  const number = Number(plainDigits(text.trim()).replace(/[,\u066b]/, "."));
  if (!text.trim() || !Number.isFinite(number)) throw new Error(`“${text}” is no number.`);
  const value = Number(((number - plus) / by).toPrecision(12));
  const [low, high] = BOUNDS[field] ?? [-Infinity, Infinity];
  if (value < low || value > high) {
    const [from, to] = [low, high].map((end) => (end * by + plus).toFixed(Math.min(digits, 1)));
    throw new Error(`${text} ${unit} is outside ${from} to ${to} ${unit}.`.replace(/ +/g, " ").replace(" .", "."));
  }
  if (!QUANTITY[field] && !Number.isInteger(value)) throw new Error(`“${text}” is no whole number.`);
  return value;
}
