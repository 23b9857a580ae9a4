/** An invented foundry with a night behind it, for looking at the dashboard without a gateway. */
import {
  type Alarm,
  type Finding,
  Foundry,
  type Run,
  type SeriesView,
  type StationView,
  splitSeriesId,
  type Welcome,
} from '../../shared/contract/index.ts'
import { burnoutAt } from './fake-burnout.ts'

/** Wednesday 10:12 in Ghent, in an invented year's November. */
export const fakeNow = Date.UTC(2031, 10, 19, 9, 12, 30)
const minute = 60_000
const hour = 60 * minute

export const fakeFoundry: Foundry = Foundry.parse({
  site: { name: 'Two Bays Foundry', timeZone: 'Europe/Brussels', elevationM: 12, invented: true },
  stations: [
    {
      id: 'W1',
      name: 'W1 detail pot',
      kind: 'pot',
      leading: 'w1-mid',
      limits: [
        { kind: 'ceiling', aboveC: 150 },
        { kind: 'rise', cPerMinuteMax: 4 },
      ],
      note: '6 kg, 600 W, at the north bench',
    },
    { id: 'W2', name: 'W2 build pot', kind: 'pot', leading: 'w2-mid', limits: [{ kind: 'ceiling', aboveC: 150 }] },
    { id: 'W3', name: 'W3 slush tank', kind: 'pot', leading: 'w3-top', limits: [{ kind: 'ceiling', aboveC: 130 }] },
    { id: 'B1', name: 'Bench cup', kind: 'bench-cup', leading: 'b1', limits: [] },
    {
      id: 'D1',
      name: 'D1 prime room',
      kind: 'dry-room',
      leading: 'd1-a',
      limits: [
        { kind: 'window', from: 20.3, to: 23.7 },
        { kind: 'window', quantity: 'humidity', from: 55, to: 65 },
      ],
    },
    {
      id: 'D2',
      name: 'D2 backup room',
      kind: 'dry-room',
      leading: 'd2-a',
      limits: [
        { kind: 'window', from: 20.3, to: 23.7 },
        { kind: 'window', quantity: 'humidity', from: 40, to: 50 },
      ],
    },
    {
      id: 'K1',
      name: 'K1 gas shell kiln',
      kind: 'kiln',
      leading: 'k1-air',
      limits: [{ kind: 'ceiling', aboveC: 950 }],
    },
    {
      id: 'K2',
      name: 'K2 solid-mould kiln',
      kind: 'kiln',
      leading: 'k2-load',
      limits: [{ kind: 'ceiling', aboveC: 760 }],
    },
    { id: 'store', name: 'Wax store', kind: 'surroundings', leading: 'store', limits: [{ kind: 'window', to: 24 }] },
  ],
  instruments: [
    {
      id: 'w1-mid',
      name: 'W1 middle',
      kind: 'thermocouple',
      station: 'W1',
      place: 'wax-middle',
      intervalS: 5,
      toleranceClass: 'iec-2',
      checkEveryDays: 90,
    },
    { id: 'w1-low', name: 'W1 bottom', kind: 'thermocouple', station: 'W1', place: 'wax-bottom', intervalS: 5 },
    { id: 'w1-gun', name: 'W1 infrared', kind: 'infrared', station: 'W1', place: 'wax-surface', intervalS: 5 },
    { id: 'w2-mid', name: 'W2 middle', kind: 'thermocouple', station: 'W2', intervalS: 5 },
    { id: 'w3-top', name: 'W3 top', kind: 'thermocouple', station: 'W3', intervalS: 10 },
    { id: 'b1', name: 'Bench cup probe', kind: 'thermocouple', station: 'B1', intervalS: 5 },
    { id: 'd1-a', name: 'D1 climate A', kind: 'climate', station: 'D1', intervalS: 30 },
    { id: 'd2-a', name: 'D2 climate A', kind: 'climate', station: 'D2', intervalS: 30 },
    { id: 'd2-door', name: 'D2 door', kind: 'contact', station: 'D2', intervalS: 60 },
    { id: 'k1-air', name: 'K1 air', kind: 'thermocouple', station: 'K1', intervalS: 30 },
    { id: 'k2-air', name: 'K2 air A', kind: 'thermocouple', station: 'K2', place: 'kiln-air', intervalS: 30 },
    { id: 'k2-air-b', name: 'K2 air B', kind: 'thermocouple', station: 'K2', place: 'kiln-air', intervalS: 30 },
    {
      id: 'k2-load',
      name: 'K2 load',
      kind: 'thermocouple',
      station: 'K2',
      position: 'core of the mould',
      place: 'kiln-load',
      intervalS: 30,
    },
    { id: 'store', name: 'Wax store', kind: 'climate', station: 'store', intervalS: 60 },
  ],
  recipes: [
    {
      kind: 'wax',
      id: 'figure-wax',
      name: 'Figure wax',
      floorC: 70,
      ceilingC: 150,
      coats: [
        { id: 'coat-1', name: 'Coat 1', window: { fromC: 104, toC: 110 } },
        { id: 'coat-2', name: 'Coat 2', window: { fromC: 93, toC: 97 } },
        { id: 'coat-3', name: 'Coat 3', window: { fromC: 84, toC: 88 } },
        { id: 'slush', name: 'Slush', window: { fromC: 74, toC: 78 } },
      ],
    },
    {
      kind: 'drying',
      id: 'backup',
      name: 'Backup coat',
      temperature: { fromC: 20.3, toC: 23.7 },
      humidity: { from: 40, to: 50 },
      hoursMin: 4,
      hoursMax: 16,
    },
    {
      kind: 'burnout',
      id: 'k2-200',
      name: '200 mm mould',
      startC: 25,
      governing: ['k2-air', 'k2-load'],
      segments: [
        { kind: 'ramp', toC: 150, cPerHour: 40 },
        { kind: 'hold', minutes: 240 },
        { kind: 'ramp', toC: 540, cPerHour: 60 },
        { kind: 'hold', minutes: 120 },
        { kind: 'ramp', toC: 700, cPerHour: 50 },
        { kind: 'hold', minutes: 240, toleranceC: 10 },
        { kind: 'ramp', toC: 450, cPerHour: 40 },
      ],
    },
  ],
})

function wave(t: number, periodMs: number, height: number): number {
  return height * Math.sin((2 * Math.PI * t) / periodMs)
}

/** Every fake series as a function of time; null in a hole. */
export function fakeValue(series: string, t: number): number | null {
  const ago = fakeNow - t
  const noise = wave(t, 97_000, 0.12) + wave(t, 31_000, 0.07)
  const id = splitSeriesId(series)
  if (id?.quantity === 'humidity') return (id.instrument === 'd1-a' ? 60 : 45) + wave(t, 2 * hour, 1.2) + noise
  switch (id?.instrument) {
    case 'w1-mid':
      return ago > 70 * minute ? 112 + noise : 112 - (70 * minute - ago) * (16.6 / (70 * minute)) + noise
    case 'w1-low':
      return (fakeValue('w1-mid.temperature', t) ?? 0) + 1.6
    case 'w1-gun':
      return ago > 25 * minute && ago < 40 * minute ? null : (fakeValue('w1-mid.temperature', t) ?? 0) - 2.2 + noise
    case 'w2-mid':
      return 118 + 36 * Math.exp(-ago / (6 * minute)) + noise
    case 'w3-top':
      return 76.2 + noise
    case 'd1-a': {
      const peakAgo = 7 * hour
      return 22 + 2.1 * Math.exp(-(((ago - peakAgo) / (0.5 * hour)) ** 2)) + noise
    }
    case 'd2-a':
      return ago > 9 * hour && ago < 9.5 * hour ? null : 22.1 + wave(t, 3 * hour, 0.3) + noise
    case 'k1-air':
      return 24 + noise
    case 'k2-air':
      return Math.min(700, 25 + Math.max(0, 26 * hour - ago) * (675 / (24 * hour))) + 3 * noise
    case 'k2-air-b':
      return (fakeValue('k2-air.temperature', t) ?? 0) - 9
    case 'k2-load':
      return Math.min(696, 25 + Math.max(0, 24 * hour - ago) * (670 / (23 * hour))) + noise
    case 'store':
      return 21 + noise
    default:
      return 80 + noise
  }
}

const lastAgo: Record<string, number> = { store: 12 * minute, b1: 50 * minute }

function latest(): SeriesView[] {
  return fakeFoundry.instruments
    .filter((i) => i.kind !== 'contact')
    .flatMap((i) =>
      (i.kind === 'climate' ? (['temperature', 'humidity'] as const) : (['temperature'] as const)).map((quantity) => {
        const series = `${i.id}.${quantity}`
        const measuredAt = fakeNow - (lastAgo[i.id] ?? 2_000)
        return {
          series,
          value: fakeValue(series, measuredAt) ?? 0,
          quality: 'good' as const,
          measuredAt,
          arrivedAt: measuredAt + 40,
        }
      }),
    )
}

const hot: Finding = {
  id: 'f-hot',
  kind: 'above-ceiling',
  subject: 'w2-mid',
  station: 'W2',
  instrument: 'w2-mid',
  since: fakeNow - 3 * minute,
  raisedAt: fakeNow - 3 * minute,
  raisedSeq: 900,
  facts: { valueC: 153.8, ceilingC: 150 },
  tier: 'act-now',
}
const quiet: Finding = {
  id: 'f-quiet',
  kind: 'gone-quiet',
  subject: 'store',
  station: 'store',
  instrument: 'store',
  since: fakeNow - 9 * minute,
  raisedAt: fakeNow - 9 * minute,
  raisedSeq: 880,
  facts: { lastAt: fakeNow - 12 * minute, silenceMs: 180_000, saidOffline: false },
  tier: 'this-shift',
}
const warm: Finding = {
  id: 'f-warm',
  kind: 'outside-window',
  subject: 'd1-a.temperature',
  station: 'D1',
  instrument: 'd1-a',
  since: fakeNow - 7.2 * hour,
  raisedAt: fakeNow - 7.1 * hour,
  raisedSeq: 500,
  clearedAt: fakeNow - 6.7 * hour,
  facts: { quantity: 'temperature', value: 24.1, from: 20.3, to: 23.7, side: 'above' },
  tier: 'act-now',
}
const clock: Finding = {
  id: 'f-clock',
  kind: 'clock-wrong',
  subject: 'b1',
  station: 'B1',
  instrument: 'b1',
  since: fakeNow - 20 * hour,
  raisedAt: fakeNow - 20 * hour,
  raisedSeq: 100,
  clearedAt: fakeNow - 19 * hour,
  facts: { offsetMs: 3_720_000 },
}
export const fakeFindings: Finding[] = [hot, quiet, warm, clock]

const coating: Run = {
  id: 'r-1',
  kind: 'coating',
  station: 'W1',
  recipe: 'figure-wax',
  revision: 1,
  piece: 'Heron, left wing',
  startedAt: fakeNow - 72 * minute,
  startedBy: 'Ana',
  declared: false,
  progress: {
    kind: 'coating',
    temperatureC: 95.4,
    open: 'coat-2',
    next: 'coat-2',
    openIn: 'W2',
    asked: ['coat-1', 'coat-2', 'coat-3', 'slush'],
    done: [
      {
        coat: 'coat-1',
        at: fakeNow - 48 * minute,
        pot: 'W2',
        temperatureC: 107.2,
        inWindow: true,
        mouldC: null,
        waitMinutes: null,
        waitKept: null,
        by: 'Ana',
      },
    ],
  },
}
const burnout = burnoutAt(fakeNow)
const drying: Run = {
  id: 'r-3',
  kind: 'drying',
  station: 'D2',
  recipe: 'backup',
  revision: 1,
  piece: 'Nine shells, coat 6',
  startedAt: fakeNow - 3 * hour,
  startedBy: 'Ana',
  declared: false,
  progress: {
    kind: 'drying',
    temperatureC: 22.1,
    humidity: 45.2,
    seenMs: 3 * hour,
    inBandMs: 3 * hour,
    outSince: null,
  },
}

function alarm(
  finding: Finding,
  state: Alarm['state'],
  consequence: string,
  action: string,
  respondMinutes: number,
): Alarm {
  return {
    id: finding.id,
    kind: finding.kind,
    station: finding.station,
    subject: finding.subject,
    state,
    raisedAt: finding.raisedAt,
    times: 1,
    finding,
    answer: { tier: finding.tier ?? 'tomorrow', consequence, action, respondMinutes },
  }
}

export function fakeWelcome(seq: number): Welcome {
  const view = (station: string): StationView => ({
    station,
    findings: [hot, quiet].filter((f) => f.station === station),
    runs: [coating, burnout, drying].filter((r) => r.station === station),
    unseen: station === 'store' || station === 'B1',
  })
  return {
    is: 'welcome',
    seq,
    head: seq,
    resumed: false,
    clock: { now: fakeNow, pace: 1, known: true },
    version: '0.1.0',
    foundryRevision: 3,
    foundry: fakeFoundry,
    latest: latest(),
    stations: fakeFoundry.stations.map((s) => view(s.id)),
    alarms: [
      alarm(
        hot,
        'unacknowledged',
        'Hot wax smokes and can catch fire.',
        'If there is no smoke or flame, isolate the pot at the wall; the lid stays on.',
        5,
      ),
      alarm(quiet, 'acknowledged', 'Warm wax sags unseen.', 'Look whether the probe in the wax store has power.', 240),
      {
        ...alarm(
          warm,
          'returned-unacknowledged',
          'Prime coats may lift.',
          'Look at the primes before the next dip.',
          20,
        ),
        returnedAt: warm.clearedAt ?? fakeNow,
      },
    ].map((a) =>
      a.state === 'acknowledged' ? { ...a, acknowledgedAt: fakeNow - 4 * minute, acknowledgedBy: 'Ana' } : a,
    ),
    counts: { unreadable: 2, unclaimed: 1 },
  }
}
