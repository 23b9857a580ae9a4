/** A small dry room for tests of its nights: one climate probe, told every minute, by a course that the test draws. */
import { Foundry, Instrument } from '../../shared/contract/index.ts'
import type { NightMaterial, NightSeries } from '../../gateway/record/night/material.ts'
import { minuteMs } from '../../shared/time.ts'

/** A night in June in London: noon is 11:00 UTC. */
export const noon = Date.parse('2026-06-10T11:00:00Z')
export const at = (hours: number, minutes = 0): number => noon + (hours * 60 + minutes) * minuteMs
export const dusk = at(5, 30)
export const dawn = at(19, 30)

export const foundryDocument = {
  site: { name: 'Test', timeZone: 'Europe/London', elevationM: 0 },
  stations: [
    {
      id: 'D',
      name: 'Dry room',
      kind: 'dry-room',
      limits: [
        { kind: 'window', quantity: 'temperature', from: 20, to: 24, answer: undefined },
        { kind: 'window', quantity: 'humidity', from: 40, to: 60 },
      ],
    },
    { id: 'hall', name: 'Corridor', kind: 'surroundings' },
  ],
  instruments: [
    { id: 'air', name: 'Air', station: 'D', kind: 'climate', place: 'room-air', intervalS: 60 },
    { id: 'wax', name: 'Test piece', station: 'D', kind: 'thermocouple', place: 'test-piece', intervalS: 60 },
    { id: 'hall-air', name: 'Corridor air', station: 'hall', kind: 'climate', place: 'room-air', intervalS: 60 },
  ],
  recipes: [
    {
      kind: 'drying',
      id: 'backup',
      name: 'Backup',
      temperature: { fromC: 20.3, toC: 23.7 },
      humidity: { from: 40, to: 50 },
    },
  ],
}

export const foundry = Foundry.parse(foundryDocument)

export interface Told {
  t: number
  v: number
  good?: boolean
  arrivedAt?: number
}

export function seriesOf(instrument: string, quantity: NightSeries['quantity'], told: readonly Told[]): NightSeries {
  const found = foundry.instruments.find((i) => i.id === instrument)
  return {
    series: `${instrument}.${quantity}`,
    quantity,
    instrument: Instrument.parse(found),
    silenceMs: 3 * minuteMs,
    backlogMs: 125_000,
    columns: {
      t: Float64Array.from(told, (s) => s.t),
      v: Float64Array.from(told, (s) => s.v),
      quality: Uint8Array.from(told, (s) => (s.good === false ? 2 : 0)),
      arrivedAt: Float64Array.from(told, (s) => s.arrivedAt ?? s.t + 100),
    },
  }
}

/** One reading a minute from noon to noon. */
export function everyMinute(course: (t: number) => number, from = noon, to = at(24)): Told[] {
  const told: Told[] = []
  for (let t = from; t < to; t += minuteMs) told.push({ t, v: course(t) })
  return told
}

export function materialOf(series: readonly NightSeries[], change: Partial<NightMaterial> = {}): NightMaterial {
  return {
    foundry,
    date: '2026-06-10',
    from: noon,
    to: at(24),
    dusk,
    dawn,
    now: at(30),
    series,
    silent: [],
    coverage: [],
    findings: [],
    acts: [],
    starts: [],
    runs: [],
    ...change,
  }
}
