/** The invented foundry's instruments as they stand: one that ages, one that sees a skin, checks that were made, and what nobody has claimed. */
import {
  type Calibration,
  type Check,
  type CheckDone,
  type CheckTried,
  type Doubt,
  type EmissivityTried,
  fahrenheitToCelsius,
  type Instrument,
  type InstrumentLife,
  type InstrumentNow,
  type UnclaimedBody,
  unitOf,
} from '../../shared/contract/index.ts'
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts'
import { fakeFoundry, fakeNow, fakeValue } from './fake-foundry.ts'

const ageing: Doubt = {
  kind: 'ageing',
  instrument: 'k2-air-b',
  against: 'k2-air',
  since: fakeNow - 9 * dayMs,
  evidence: [
    { what: 'each firing by', value: 0.7, unit: '°C', usual: 0 },
    { what: 'firings', value: 11, unit: '' },
    { what: 'below its twin by', value: 9, unit: '°C' },
  ],
  ruledOut: [{ kind: 'moved', evidence: { what: 'greatest step', value: 1, unit: '°C' } }],
}
const skin: Doubt = {
  kind: 'sees-skin',
  instrument: 'w1-gun',
  against: 'w1-mid',
  since: fakeNow - 14 * minuteMs,
  evidence: [
    { what: 'below the wax by', value: 4.1, unit: '°C', usual: 0 },
    { what: 'share when stirred', value: 0.99, unit: '' },
  ],
  ruledOut: [{ kind: 'blind', evidence: { what: 'correlation of changes', value: 0.97, unit: '', usual: 1 } }],
}
const blindBefore: Doubt = {
  kind: 'blind',
  instrument: 'w1-gun',
  against: 'w1-mid',
  since: fakeNow - 12 * dayMs,
  evidence: [{ what: 'correlation of changes', value: 0.02, unit: '', usual: 1 }],
  ruledOut: [{ kind: 'sees-metal', evidence: { what: 'share above surroundings', value: 0.41, unit: '' } }],
}
/** Lower by a degree more each second firing; the load agrees with its twin. */
const apart = [-2, -2, -3, -3, -4, -5, -5, -6, -7, -8, -9]

export const fakeChecks: CheckDone[] = [
  ['ice-point', 0.4, 0, 0.15, 220],
  ['boiling-point', 98.9, 99.9, 0.2, 220],
  ['ice-point', 0.5, 0, 0.15, 101],
  ['probe', 94.1, 95.2, 0.3, 12],
].map(([reference, readsC, isC, uC, daysAgo], i) => ({
  reference: reference as Check['reference'],
  ...(reference === 'probe' ? { probe: 'w2-mid' } : {}),
  readsC: Number(readsC),
  isC: Number(isC),
  uC: Number(uC),
  readings: 13,
  from: fakeNow - Number(daysAgo) * dayMs - minuteMs,
  to: fakeNow - Number(daysAgo) * dayMs,
  spreadC: 0.1,
  seq: 300 + i,
  at: fakeNow - Number(daysAgo) * dayMs,
  by: 'Ana',
}))

const calibration: Calibration = {
  at: fakeNow - 219 * dayMs,
  by: 'Ana',
  note: 'Connector cleaned first',
  found: [
    { readsC: 1.2, isC: 0, uC: 0.15 },
    { readsC: 97.6, isC: 99.9, uC: 0.2 },
  ],
  points: [
    { readsC: 0.4, isC: 0, uC: 0.15 },
    { readsC: 98.9, isC: 99.9, uC: 0.2 },
  ],
}

const quantitiesOf = (instrument: Instrument) =>
  instrument.kind === 'climate'
    ? (['temperature', 'humidity'] as const)
    : instrument.kind === 'contact'
      ? []
      : (['temperature'] as const)

function nowOf(instrument: Instrument): InstrumentNow {
  const doubts = [ageing, skin].filter((doubt) => doubt.instrument === instrument.id)
  const isChecked = instrument.id === 'w1-mid'
  const measuredAt = fakeNow - 2_000
  return {
    ...instrument,
    ...(isChecked ? { calibrations: [calibration] } : {}),
    series: quantitiesOf(instrument).map((quantity) => {
      const series = `${instrument.id}.${quantity}`
      const value = fakeValue(series, measuredAt) ?? 0
      const noAnswer = instrument.id === 'w1-gun'
      return {
        series,
        quantity,
        unit: unitOf[quantity],
        value,
        trueValue: noAnswer ? null : isChecked ? value + 1 : value,
        ...(noAnswer ? { noAnswer: 'No temperature: what it looks at mirrors more than it sends out.' } : {}),
        measuredAt,
        quality: 'good' as const,
      }
    }),
    sureness: isChecked
      ? { expandedC: 0.42, from: 'check' }
      : instrument.id.startsWith('k')
        ? { expandedC: 5.2, from: 'class' }
        : { expandedC: null, from: 'unknown' },
    since: instrument.kind === 'contact' ? null : fakeNow - 600 * dayMs,
    checkedAt: isChecked ? fakeNow - 219 * dayMs : null,
    dueAt: isChecked ? fakeNow - 129 * dayMs : instrument.id === 'd1-a' ? fakeNow + 20 * dayMs : null,
    doubts,
  }
}

export interface FakeInstruments {
  all(): InstrumentNow[]
  life(id: string): InstrumentLife
  /** What a path of one instrument answers; null where the path is none. */
  answer(path: string, body: string): unknown
}

export function fakeInstruments(): FakeInstruments {
  const checks = [...fakeChecks]
  const all = () => fakeFoundry.instruments.map(nowOf)
  const life = (id: string): InstrumentLife => {
    const instrument = all().find((one) => one.id === id)
    if (!instrument) throw new Error(`no instrument ${id}`)
    const isTwin = id === 'k2-air-b'
    return {
      instrument,
      checks: id === 'w1-mid' ? checks : [],
      calibrations: id === 'w1-mid' ? [calibration] : [],
      doubts:
        id === 'w1-gun'
          ? [
              { finding: 'd-2', doubt: skin, raisedAt: skin.since },
              {
                finding: 'd-1',
                doubt: blindBefore,
                raisedAt: blindBefore.since,
                clearedAt: blindBefore.since + hourMs,
              },
            ]
          : [],
      hoursAbove800: isTwin ? 12.4 : 0,
      passes250to550: isTwin ? 22 : 0,
      hoursAt250to550: isTwin ? 131 : 0,
      firings: isTwin ? apart.length : 0,
      differences: isTwin
        ? apart.flatMap((differenceC, i) => {
            const row = { firing: i + 1, at: fakeNow - (apart.length - i) * 8 * dayMs, against: 'k2-air' }
            return i % 3 === 0
              ? [
                  { ...row, bandC: 700, differenceC },
                  { ...row, bandC: 450, differenceC: differenceC / 2 },
                ]
              : [{ ...row, bandC: 700, differenceC }]
          })
        : [],
    }
  }

  function check(id: string, body: string): CheckTried {
    const asked = JSON.parse(body) as { reference: Check['reference']; probe?: string; dryRun?: boolean; by?: string }
    if (asked.probe === 'w1-low')
      return { check: null, sentence: 'W1 bottom does not stand still: wait until it moves less than 0.5 °C.' }
    const isC = asked.reference === 'ice-point' ? 0 : asked.reference === 'boiling-point' ? 99.9 : 96.4
    const readsC = isC - 0.6
    const found: Check = {
      reference: asked.reference,
      ...(asked.probe === undefined ? {} : { probe: asked.probe }),
      readsC,
      isC,
      uC: 0.2,
      readings: 12,
      from: fakeNow - minuteMs,
      to: fakeNow,
      spreadC: 0.1,
    }
    if (asked.dryRun !== true && id === 'w1-mid')
      checks.push({ ...found, seq: 400 + checks.length, at: fakeNow, by: asked.by ?? 'somebody' })
    return { check: found, differenceC: -0.6, sentence: 'Twelve readings stood still: it reads 0.6 °C too low.' }
  }

  const emissivity = (): EmissivityTried => ({
    emissivity: 0.912,
    u: 0.006,
    pairs: 58,
    sentence: '58 pairs of the last five minutes give 0.912 ± 0.012.',
  })

  return {
    all,
    life,
    answer(path, body) {
      const [, , , room, id = '', what] = path.split('/')
      if (room !== 'instruments' || what === undefined) return null
      if (what === 'life') return life(id)
      if (what === 'checks') return check(id, body)
      return what === 'emissivity' ? emissivity() : {}
    },
  }
}

export function fakeUnclaimed(): UnclaimedBody {
  return {
    total: 1,
    items: [
      {
        instrument: 'my-probe',
        firstAt: fakeNow - 300_000,
        lastAt: fakeNow - 3_000,
        readings: 31,
        quantities: ['temperature'],
        lastValues: { temperature: fahrenheitToCelsius(70.7) },
        lastPayload: {
          topic: 'cirewatch/my-probe/reading',
          payload: '{"fahrenheit": 70.7}',
          at: fakeNow - 3_000,
        },
      },
    ],
    topics: [
      {
        topic: 'yard/shed/oven',
        lastAt: fakeNow - 20_000,
        messages: 214,
        payload: '{"sensor": {"temp": 182.5, "rh": 12}, "battery": 88}',
        guesses: [
          {
            mapping: {
              topic: 'yard/shed/oven',
              instrument: 'yard-shed-oven',
              values: [
                { pointer: '/sensor/temp', unit: 'celsius' },
                { pointer: '/sensor/rh', unit: 'relativeHumidity' },
              ],
            },
            sentence: 'Its name says temperature, and 182.5 can be °C.',
          },
          {
            mapping: {
              topic: 'yard/shed/oven',
              instrument: 'yard-shed-oven-battery',
              values: [{ pointer: '/battery', unit: 'number' }],
            },
            sentence: 'A number of something.',
          },
        ],
      },
    ],
  }
}
