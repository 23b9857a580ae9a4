/** Tables as stand-alone loggers write them, each with quirks of its own, and the readings that are in it. All of them are invented. */
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { BringPlan, Quality } from '../../shared/contract/index.ts'

export interface Specimen {
  file: string
  quirks: string
  /** What must stand in the plan. */
  plan: Partial<Omit<BringPlan, 'time'>> & { order: BringPlan['time']['order']; zone?: string }
  /** What a person corrects before it is read. */
  corrected?: (plan: BringPlan) => BringPlan
  readings: Record<string, [at: string, value: number, quality?: Quality][]>
  unreadable?: number[]
  missing?: number[]
}

const folder = join(import.meta.dirname, 'files')

export function bytesOf(file: string): Uint8Array {
  return readFileSync(join(folder, file))
}

export function allFiles(): string[] {
  return readdirSync(folder).filter((file) => file.startsWith('invented-'))
}

const inNewYork = (plan: BringPlan): BringPlan => ({ ...plan, time: { ...plan.time, zone: 'America/New_York' } })

/** The foundry of these files is in London. */
export const specimens: readonly Specimen[] = [
  {
    file: 'invented-iso.csv',
    quirks: 'ISO time without a zone, an empty cell',
    plan: { delimiter: ',', decimal: '.', order: 'ymd', zone: 'Europe/London', ask: [] },
    readings: {
      'invented-iso.temperature': [
        ['2026-03-12T22:00:00.000Z', 21.4],
        ['2026-03-12T22:10:00.000Z', 21.5],
        ['2026-03-12T22:20:00.000Z', 21.45],
      ],
      'invented-iso.humidity': [
        ['2026-03-12T22:00:00.000Z', 44.5],
        ['2026-03-12T22:10:00.000Z', 44.1],
      ],
    },
  },
  {
    file: 'invented-dry-room-semicolon.csv',
    quirks: 'Windows-1252, preamble, semicolons, decimal comma, thousands point, D.M.Y, dew point',
    plan: {
      encoding: 'windows-1252',
      delimiter: ';',
      decimal: ',',
      preambleLines: 4,
      headLines: 1,
      order: 'dmy',
      ask: [],
    },
    readings: {
      'invented-dry-room-semicolon.temperature': [
        ['2026-03-12T23:50:00.000Z', 21.4],
        ['2026-03-13T00:00:00.000Z', 21.6],
        ['2026-03-13T00:10:00.000Z', 1021.5],
      ],
      'invented-dry-room-semicolon.humidity': [
        ['2026-03-12T23:50:00.000Z', 44.5],
        ['2026-03-13T00:00:00.000Z', 44],
        ['2026-03-13T00:10:00.000Z', 43.5],
      ],
    },
  },
  {
    file: 'invented-kiln-tab.txt',
    quirks: 'tabs, date and time apart, D/M/Y, two channels, open thermocouple, set-point and output left out',
    plan: { delimiter: '\t', order: 'dmy', ask: [] },
    readings: {
      'invented-kiln-tab-tc1.temperature': [
        ['2026-06-25T05:00:00.000Z', 20.1],
        ['2026-06-25T05:05:00.000Z', 24.9],
        ['2026-06-25T05:10:00.000Z', 30.2],
        ['2026-06-25T05:15:00.000Z', 35],
      ],
      'invented-kiln-tab-tc2.temperature': [['2026-06-25T05:00:00.000Z', 19.8]],
    },
  },
  {
    file: 'invented-mdy-ampm.csv',
    quirks: 'byte-order mark, quotes, M/D/Y with AM and PM, offset in the head, °F, line numbers',
    plan: { encoding: 'utf-8', delimiter: ',', preambleLines: 1, order: 'mdy', zone: '-05:00', ask: [] },
    readings: {
      'invented-mdy-ampm.temperature': [
        ['2026-03-10T04:59:30.000Z', 20],
        ['2026-03-10T05:00:00.000Z', 21],
        ['2026-03-13T17:00:30.000Z', 0],
      ],
    },
  },
  {
    file: 'invented-bars.csv',
    quirks: 'upright bars, Y/M/D, date and time apart, air speed',
    plan: { delimiter: '|', order: 'ymd', ask: [] },
    readings: {
      'invented-bars.temperature': [
        ['2026-01-31T08:00:00.000Z', 22],
        ['2026-01-31T08:00:30.000Z', 22.1],
        ['2026-02-01T00:00:00.000Z', 22.2],
      ],
      'invented-bars.air-speed': [
        ['2026-01-31T08:00:00.000Z', 0.35],
        ['2026-01-31T08:00:30.000Z', 0.4],
        ['2026-02-01T00:00:00.000Z', 0.45],
      ],
    },
  },
  {
    file: 'invented-utf16le.txt',
    quirks: 'UTF-16 little end first, tabs, decimal comma, the one-letter sign for degrees Celsius',
    plan: { encoding: 'utf-16le', delimiter: '\t', decimal: ',', order: 'ymd', ask: [] },
    readings: {
      'invented-utf16le.temperature': [
        ['2026-02-01T10:00:00.000Z', 21.5],
        ['2026-02-01T10:01:00.000Z', 21.25],
      ],
    },
  },
  {
    file: 'invented-utf16be.csv',
    quirks: 'UTF-16 big end first, below zero with hyphen and with minus sign',
    plan: { encoding: 'utf-16be', delimiter: ';', decimal: ',', order: 'dmy', ask: [] },
    readings: {
      'invented-utf16be.temperature': [
        ['2026-02-01T10:00:00.000Z', -3.5],
        ['2026-02-28T10:01:00.000Z', -4],
      ],
    },
  },
  {
    file: 'invented-epoch-s.csv',
    quirks: 'epoch seconds, a sensor code',
    plan: { order: 'epoch-s', zone: 'UTC', ask: [] },
    readings: {
      'invented-epoch-s.temperature': [
        ['2026-02-02T02:40:00.000Z', 21.5],
        ['2026-02-02T02:41:00.000Z', 21.6],
        ['2026-02-02T02:42:00.000Z', -127, 'bad'],
      ],
    },
  },
  {
    file: 'invented-epoch-ms.csv',
    quirks: 'epoch milliseconds, semicolons with decimal point, head of units only',
    plan: { delimiter: ';', decimal: '.', order: 'epoch-ms', zone: 'UTC', ask: [] },
    readings: {
      'invented-epoch-ms.temperature': [
        ['2026-02-02T02:40:00.000Z', 21.5],
        ['2026-02-02T02:40:00.500Z', 21.6],
      ],
      'invented-epoch-ms.humidity': [
        ['2026-02-02T02:40:00.000Z', 40],
        ['2026-02-02T02:40:00.500Z', 41],
      ],
    },
  },
  {
    file: 'invented-serial-days.csv',
    quirks: 'days of a spreadsheet with decimal comma',
    plan: { delimiter: ';', decimal: ',', order: 'serial-days', zone: 'Europe/London', ask: [] },
    readings: {
      'invented-serial-days.temperature': [
        ['2026-03-01T12:00:00.000Z', 21.5],
        ['2026-03-01T12:10:00.000Z', 21.6],
      ],
    },
  },
  {
    file: 'invented-units-below.csv',
    quirks: 'units in a second line of the head, seconds, summer time',
    plan: { headLines: 2, order: 'dmy', ask: [] },
    readings: {
      'invented-units-below.temperature': [
        ['2026-05-31T11:00:00.000Z', 21],
        ['2026-05-31T11:01:00.000Z', 21.2],
      ],
      'invented-units-below.humidity': [
        ['2026-05-31T11:00:00.000Z', 45],
        ['2026-05-31T11:01:00.000Z', 44.8],
      ],
    },
  },
  {
    file: 'invented-kiln-thousands.csv',
    quirks: 'thousands commas in quotes, target left out',
    plan: { delimiter: ',', decimal: '.', order: 'ymd', ask: [] },
    readings: {
      'invented-kiln-thousands.temperature': [
        ['2026-06-25T11:00:00.000Z', 1020.5],
        ['2026-06-25T11:01:00.000Z', 1021],
        ['2026-06-25T11:02:00.000Z', 980.25],
      ],
    },
  },
  {
    file: 'invented-remarks.csv',
    quirks: 'remarks and blank lines between, words instead of values, a broken line',
    plan: { preambleLines: 2, order: 'ymd', ask: [] },
    readings: {
      'invented-remarks.temperature': [
        ['2026-03-01T10:00:00.000Z', 21],
        ['2026-03-01T10:10:00.000Z', 21.1],
        ['2026-03-01T10:50:00.000Z', 21.3],
      ],
    },
    unreadable: [9, 11],
  },
  {
    file: 'invented-clock-back-london.csv',
    quirks: 'the night on which the hour from 01:00 is twice',
    plan: { order: 'ymd', zone: 'Europe/London', ask: [] },
    readings: {
      'invented-clock-back-london.temperature': [
        ['2026-10-24T23:30:00.000Z', 10],
        ['2026-10-25T00:00:00.000Z', 11],
        ['2026-10-25T00:30:00.000Z', 12],
        ['2026-10-25T01:00:00.000Z', 13],
        ['2026-10-25T01:30:00.000Z', 14],
        ['2026-10-25T02:00:00.000Z', 15],
      ],
    },
  },
  {
    file: 'invented-newest-first.csv',
    quirks: 'the same night, newest line first',
    plan: { order: 'ymd', ask: [] },
    readings: {
      'invented-newest-first.temperature': [
        ['2026-10-25T02:00:00.000Z', 15],
        ['2026-10-25T01:30:00.000Z', 14],
        ['2026-10-25T01:00:00.000Z', 13],
        ['2026-10-25T00:30:00.000Z', 12],
        ['2026-10-25T00:00:00.000Z', 11],
        ['2026-10-24T23:30:00.000Z', 10],
      ],
    },
  },
  {
    file: 'invented-clock-forward-new-york.csv',
    quirks: 'the night on which the hour from 02:00 never is, told to be of New York; °F',
    plan: { order: 'ymd', ask: [] },
    corrected: inNewYork,
    readings: {
      'invented-clock-forward-new-york.temperature': [
        ['2026-03-08T06:30:00.000Z', 10],
        ['2026-03-08T07:00:00.000Z', ((53 - 32) * 5) / 9],
      ],
    },
    missing: [3, 4],
  },
  {
    file: 'invented-month-names.csv',
    quirks: 'months as names, fractions of a second, kelvin',
    plan: { order: 'dmy', ask: [] },
    readings: {
      'invented-month-names.temperature': [
        ['2026-03-12T14:00:05.250Z', 294.15 - 273.15],
        ['2026-03-12T14:00:06.500Z', 295.15 - 273.15],
      ],
    },
  },
  {
    file: 'invented-could-be-either.csv',
    quirks: 'every number is 12 or less: somebody must say',
    plan: { order: 'dmy', ask: ['date-order'] },
    corrected: (plan) => ({ ...plan, ask: [], time: { ...plan.time, order: 'mdy' } }),
    readings: {
      'invented-could-be-either.temperature': [
        ['2026-03-04T10:00:00.000Z', 21],
        ['2026-03-04T10:10:00.000Z', 21.5],
      ],
    },
  },
  {
    file: 'invented-steps-tell.csv',
    quirks: 'every number is 12 or less, but the lines follow one another only day first',
    plan: { order: 'dmy', ask: [] },
    readings: {
      'invented-steps-tell.temperature': [
        ['2026-04-03T22:50:00.000Z', 21],
        ['2026-04-03T23:00:00.000Z', 21.5],
        ['2026-04-04T23:00:00.000Z', 21.7],
        ['2026-04-05T23:00:00.000Z', 21.9],
      ],
    },
  },
  {
    file: 'invented-no-head.csv',
    quirks: 'no names at all: somebody must say what it is',
    plan: { delimiter: ';', decimal: ',', headLines: 0, order: 'ymd', ask: ['values'], values: [] },
    corrected: (plan) => ({
      ...plan,
      ask: [],
      values: [{ column: 1, instrument: 'store', quantity: 'temperature', unit: 'C' }],
    }),
    readings: {
      'store.temperature': [
        ['2026-03-12T10:00:00.000Z', 21.5],
        ['2026-03-12T10:01:00.000Z', 21.6],
      ],
    },
  },
  {
    file: 'invented-door.csv',
    quirks: 'a contact: open is a value, not the want of one',
    plan: { order: 'ymd', ask: [] },
    readings: {
      'invented-door.contact': [
        ['2026-03-12T10:00:00.000Z', 1],
        ['2026-03-12T10:04:10.000Z', 0],
        ['2026-03-12T10:05:00.000Z', 1],
      ],
    },
  },
  {
    file: 'invented-pressure.csv',
    quirks: 'lone carriage returns, every time names its zone, hPa and mA',
    plan: { order: 'ymd', zone: 'UTC', ask: [] },
    readings: {
      'invented-pressure.pressure': [
        ['2026-03-12T10:00:00.000Z', 101325],
        ['2026-03-12T10:00:00.500Z', 101350],
      ],
      'invented-pressure.current': [
        ['2026-03-12T10:00:00.000Z', 0.0045],
        ['2026-03-12T10:00:00.500Z', 0.02],
      ],
    },
  },
]
