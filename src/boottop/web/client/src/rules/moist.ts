/** Dew point over water, with the formulas of `boottop.climate.moist` (ASHRAE Handbook Fundamentals 2017, chapter 1,
 * equation 6, after Hyland & Wexler 1983). */

const [A, B, C, D, E, F] = [-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 6.5459673] as const;

function logSaturation(air_c: number): number {
  const kelvin = air_c + 273.15;
  return A / kelvin + B + kelvin * (C + kelvin * (D + kelvin * E)) + F * Math.log(kelvin);
}

export function dewPoint(air_c: number, humidity: number): number {
  const logged = logSaturation(air_c) + Math.log(humidity);
  const ratio = logged - Math.log(610.94);
  let dew_c = (243.04 * ratio) / (17.625 - ratio);
  for (let step = 0; step < 3; step++) {
    const kelvin = dew_c + 273.15;
    const slope = -A / kelvin ** 2 + C + kelvin * (2 * D + 3 * E * kelvin) + F / kelvin;
    dew_c -= (logSaturation(dew_c) - logged) / slope;
  }
  return dew_c;
}
