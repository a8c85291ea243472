/** Units as this person reads them. Records keep °C and mg/L; only what is shown and typed is converted. */

import { read, write } from '../outbox/preferences.js';
import { celsius, fahrenheit } from '../ui/numbers.js';

export const TEMPERATURES = { c: '°C', f: '°F' };

export const temperatureUnit = () => read('temperature', 'c');
export const chooseTemperature = (unit) => write('temperature', unit);

/** How to show and read a temperature now. */
export function temperature() {
  const same = (x) => x;
  if (temperatureUnit() === 'c') return { unit: '°C', shown: same, stored: same, high: 100 };
  const toC = (x) => Math.round(celsius(x) * 10) / 10;
  return { unit: '°F', shown: (x) => (Number.isFinite(x) ? fahrenheit(x) : x), stored: toC, high: 212 };
}

/** Units of hardness and alkalinity with the word that the trade knows them by. The server converts. */
export const HARDNESS_UNITS = {
  dh: '°dH', fh: '°fH', mg_l_caco3: 'mg/L CaCO₃', clark: '°Clark', gpg: 'gpg', mmol_l: 'mmol/L', meq_l: 'meq/L',
};

export const hardnessUnit = () => read('hardness_unit', 'mg_l_caco3');
export const chooseHardnessUnit = (unit) => write('hardness_unit', unit);
