/** The forms of the bar's things: which fields, in which order, within which bounds (the server's own). */

import { t } from '../words/index.js';
import { site, siteId } from './here.js';
import { temperature } from './units.js';

const words = (prefix, values) => values.map((value) => [value, t(`${prefix}.${value}`)]);

export const FORMS = {
  person: () => [{ name: 'name', label: t('name'), need: true, most: 60 }],

  coffee: () => [
    { name: 'name', label: t('name'), need: true, most: 80 },
    { name: 'roaster', label: t('coffee.roaster'), most: 80 },
    { name: 'rest_days', label: t('coffee.rest_days'), kind: 'number', unit: t('unit.days'), low: 0, high: 120, hint: t('coffee.rest_days.hint') },
    { name: 'best_until_days', label: t('coffee.best_until_days'), kind: 'number', unit: t('unit.days'), low: 0, high: 400, hint: t('coffee.best_until_days.hint') },
    { name: 'open_days', label: t('coffee.open_days'), kind: 'number', unit: t('unit.days'), low: 0, high: 120, hint: t('coffee.open_days.hint') },
  ],

  grinder: () => [
    { name: 'name', label: t('name'), need: true, most: 60 },
    { name: 'finer', label: t('grinder.finer'), kind: 'choice', choices: words('grinder.finer', ['lower', 'higher']) },
    { name: 'step', label: t('grinder.step'), kind: 'number', low: 0.001, high: 100, hint: t('grinder.step.hint') },
    { name: 'seconds_per_step', label: t('grinder.seconds_per_step'), kind: 'number', unit: 's', low: -60, high: 60, hint: t('grinder.seconds_per_step.hint') },
  ],

  machine: () => [
    { name: 'name', label: t('name'), need: true, most: 60 },
    { name: 'drive', label: t('machine.drive'), kind: 'choice', choices: words('machine.drive', ['pump', 'lever', 'other']) },
    inTheirDegrees({ name: 'group_temp_c', label: t('machine.group_temp_c'), low_c: 60, high_c: 110 }),
    { name: 'steam_gauge_bar', label: t('machine.steam_gauge_bar'), kind: 'number', unit: 'bar', low: 0, high: 3.5, hint: t('caution.machine') },
  ],

  site: () => [
    { name: 'name', label: t('name'), need: true, most: 80 },
    { name: 'time_zone', label: t('site.time_zone'), need: true, most: 60, hint: t('site.time_zone.hint') },
    { name: 'day_starts_at', label: t('site.day_starts_at'), kind: 'time' },
    { name: 'altitude_m', label: t('site.altitude_m'), kind: 'number', unit: 'm', low: -430, high: 5500 },
    { name: 'currency', label: t('site.currency'), most: 3 },
  ],
};

function inTheirDegrees({ name, label, low_c, high_c }) {
  const { unit, shown, stored } = temperature();
  return { name, label, kind: 'number', unit, low: shown(low_c), high: shown(high_c), toShown: shown, toStored: stored };
}

/** What a new record of a kind says without being asked. */
export const given = {
  grinder: () => ({ site_id: siteId() }),
  machine: () => ({ site_id: siteId() }),
  site: () => ({ time_zone: site()?.fields.time_zone ?? Intl.DateTimeFormat().resolvedOptions().timeZone }),
};
