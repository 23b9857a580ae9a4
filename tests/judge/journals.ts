/** Random foundries and random days in them, written into a real memory store, so that duplicates and conflicts are what a store makes of them. */
import fc from 'fast-check'
import { memoryStore } from '../../gateway/store/memory.ts'
import { badReason, type Entry, Foundry, type NewEntry, splitSeriesId } from '../../shared/contract/index.ts'
import { emptyHouse, type House, judge } from '../../shared/judge/index.ts'
import { calibrations, infrared } from './meanings.ts'
import { noon } from './tale.ts'

const minute = 60_000
const delay = fc.option(fc.constantFrom(0, 5, 20, 90), { nil: undefined })
const deadband = fc.option(fc.constantFrom(0, 0.5, 3), { nil: undefined })

function without<T extends object>(value: T): T {
  return JSON.parse(JSON.stringify(value)) as T
}

const limit = fc.oneof(
  fc.record({
    kind: fc.constant('ceiling'),
    aboveC: fc.constantFrom(100, 104),
    deadband,
    onDelayS: fc.option(fc.constantFrom(0, 20), { nil: undefined }),
    offDelayS: delay,
  }),
  fc.record({
    kind: fc.constant('window'),
    from: fc.constantFrom(90, 95),
    to: fc.constantFrom(101, 103),
    deadband,
    onDelayS: delay,
    offDelayS: delay,
  }),
  fc.record({ kind: fc.constant('window'), quantity: fc.constant('humidity'), to: fc.constant(60), onDelayS: delay }),
  fc.record({
    kind: fc.constant('rise'),
    cPerMinuteMax: fc.constantFrom(1, 4),
    overS: fc.constantFrom(30, 120),
    offDelayS: delay,
  }),
)

const names = ['a', 'b', 'c', 'd']
const instrumentPlan = fc.record({
  station: fc.nat(2),
  kind: fc.constantFrom('thermocouple', 'climate', 'thermocouple', 'climate', 'infrared'),
  intervalS: fc.constantFrom(5, 10, 30),
  silenceS: fc.option(fc.constantFrom(1, 40, 200), { nil: undefined }),
  correction: fc.option(
    fc.constant([
      { readsC: 0, isC: 1 },
      { readsC: 100, isC: 102 },
    ]),
    { nil: undefined },
  ),
  calibrations: fc.option(calibrations, { nil: undefined }),
  infrared: fc.option(infrared, { nil: undefined }),
  checkEveryDays: fc.option(fc.constantFrom(1, 30), { nil: undefined }),
})

/** Up to three stations and four instruments; which instrument watches which station is part of the draw, so that an edit moves them. */
export const foundries: fc.Arbitrary<Foundry> = fc
  .record({
    limits: fc.array(fc.array(limit, { maxLength: 4 }), { minLength: 1, maxLength: 3 }),
    instruments: fc.array(instrumentPlan, { minLength: 1, maxLength: names.length }),
  })
  .map(({ limits, instruments }) =>
    Foundry.parse(
      without({
        site: { name: 'Invented', timeZone: 'UTC', elevationM: 0 },
        stations: limits.map((of, i) => ({
          id: `S${i}`,
          name: `S${i}`,
          kind: ['pot', 'dry-room', 'kiln'][i],
          limits: of,
        })),
        instruments: instruments.map((plan, i) => ({
          ...plan,
          id: names[i],
          name: names[i],
          station: `S${plan.station % limits.length}`,
        })),
        recipes: [
          {
            kind: 'wax',
            id: 'wax',
            name: 'wax',
            coats: [
              { id: 'one', name: 'one', window: { fromC: 99, toC: 101 } },
              { id: 'two', name: 'two', window: { fromC: 95, toC: 100 } },
            ],
          },
          {
            kind: 'drying',
            id: 'dry',
            name: 'dry',
            temperature: { fromC: 95, toC: 100 },
            humidity: { from: 40, to: 60 },
          },
          {
            kind: 'burnout',
            id: 'burn',
            name: 'burn',
            startC: 90,
            segments: [
              { kind: 'ramp', toC: 98, cPerHour: 400, toleranceC: 3 },
              { kind: 'hold', minutes: 1, toleranceC: 3 },
              { kind: 'ramp', toC: 92, cPerHour: 600, toleranceC: 2 },
            ],
          },
          {
            kind: 'burnout',
            id: 'burn-ab',
            name: 'burn-ab',
            governing: instruments.length > 1 ? ['a', 'b'] : ['a'],
            segments: [
              { kind: 'ramp', toC: 97, cPerHour: 900, toleranceC: 4 },
              { kind: 'hold', minutes: 2 },
            ],
          },
        ],
      }),
    ),
  )

/** In every band and near every hold above, °C; in the humidity band once it is read as humidity. */
const recipesAgreeOn = 97

/** Often nothing: then several things happen at one instant. */
const stepMs = fc.oneof(
  { weight: 2, arbitrary: fc.constantFrom(0, 1_000) },
  { weight: 6, arbitrary: fc.integer({ min: 0, max: 15_000 }) },
  { weight: 1, arbitrary: fc.integer({ min: 0, max: 5 * minute }) },
)
const value = fc.oneof(
  { weight: 8, arbitrary: fc.integer({ min: 880, max: 1060 }).map((v) => v / 10) },
  { weight: 1, arbitrary: fc.constant(-127) },
)
const ageMs = fc.oneof(
  { weight: 8, arbitrary: fc.constantFrom(0, 40, 2_000, -1_000, -45_000) },
  { weight: 2, arbitrary: fc.integer({ min: 0, max: 10 * minute }) },
)

/** A probe that speaks steadily for a while: what delays and holds need to run out. */
interface Stretch {
  is: 'stretch'
  who: number
  humidity: boolean
  from: number
  perReading: number
  everyMs: number
  count: number
  /** Half way it comes back to where every recipe here would have it. */
  comesBack: boolean
}

export type Step =
  | Stretch
  | { is: 'reading'; who: number; humidity: boolean; value: number; ageMs: number; wrongMs: number | null }
  | { is: 'other-value'; by: number }
  | { is: 'fault'; who: number; ageMs: number }
  | { is: 'presence'; who: number; online: boolean }
  | { is: 'tick' }
  | { is: 'start' }
  | { is: 'clock-step'; byMs: number }
  | { is: 'foundry'; foundry: Foundry }
  | { is: 'run-start'; station: number; recipe: number }
  | { is: 'run'; nth: number; act: 'one' | 'two' | 'undo' | 'close' }
  | { is: 'acknowledge'; nth: number }
  | { is: 'check'; who: number }

const aReading = fc.record({
  is: fc.constant('reading' as const),
  who: fc.nat(3),
  humidity: fc.boolean(),
  value,
  ageMs,
  wrongMs: fc.option(fc.constantFrom(-3_600_000, 90_000), { freq: 12 }),
})

const aStretch: fc.Arbitrary<Stretch> = fc.record({
  is: fc.constant('stretch' as const),
  who: fc.nat(3),
  humidity: fc.boolean(),
  from: fc.integer({ min: 88, max: 106 }),
  perReading: fc.constantFrom(0, 0, 0.25, -0.25, 2),
  everyMs: fc.constantFrom(5_000, 20_000, 30_000),
  count: fc.integer({ min: 2, max: 60 }),
  comesBack: fc.boolean(),
})

const calm: fc.WeightedArbitrary<Step>[] = [
  { weight: 6, arbitrary: aStretch },
  { weight: 30, arbitrary: aReading },
  { weight: 2, arbitrary: fc.record({ is: fc.constant('other-value' as const), by: fc.constantFrom(-3, 3, -200) }) },
  { weight: 1, arbitrary: fc.record({ is: fc.constant('fault' as const), who: fc.nat(3), ageMs }) },
  { weight: 1, arbitrary: fc.record({ is: fc.constant('presence' as const), who: fc.nat(3), online: fc.boolean() }) },
  { weight: 1, arbitrary: fc.record({ is: fc.constant('check' as const), who: fc.nat(3) }) },
  {
    weight: 2,
    arbitrary: fc.record({
      is: fc.constant('run-start' as const),
      station: fc.nat(2),
      recipe: fc.constantFrom(0, 0, 1, 2, 3),
    }),
  },
  {
    weight: 4,
    arbitrary: fc.record({
      is: fc.constant('run' as const),
      nth: fc.nat(2),
      act: fc.constantFrom(
        'one' as const,
        'two' as const,
        'one' as const,
        'two' as const,
        'undo' as const,
        'close' as const,
      ),
    }),
  },
]
const unruly: fc.WeightedArbitrary<Step>[] = [
  { weight: 6, arbitrary: fc.record({ is: fc.constant('tick' as const) }) },
  { weight: 3, arbitrary: fc.record({ is: fc.constant('acknowledge' as const), nth: fc.nat(3) }) },
  { weight: 1, arbitrary: fc.record({ is: fc.constant('start' as const) }) },
  {
    weight: 1,
    arbitrary: fc.record({
      is: fc.constant('clock-step' as const),
      byMs: fc.constantFrom(-3_600_000, -8_000, 8_000, 3_600_000),
    }),
  },
  { weight: 1, arbitrary: fc.record({ is: fc.constant('foundry' as const), foundry: foundries }) },
]

export interface Plan {
  foundry: Foundry
  steps: { afterMs: number; step: Step }[]
}

const planOf = (steps: fc.WeightedArbitrary<Step>[], maxLength: number): fc.Arbitrary<Plan> =>
  fc.record({
    foundry: foundries,
    steps: fc.array(fc.record({ afterMs: stepMs, step: fc.oneof(...steps) }), {
      minLength: 20,
      maxLength,
      size: 'max',
    }),
  })

/** Everything that can come to a gateway, its own absences and a wrong clock of its own included. */
export const days = planOf([...calm, ...unruly], 60)
/** What happened in a foundry, apart from how it arrived. */
export const happenings = planOf(calm, 60)

type NewReading = Extract<NewEntry, { kind: 'reading' }>

/** The quality follows from the value, so that it is the same whichever of two came first. */
function valued(series: string, value: number): { value: number } & Pick<NewReading, 'quality' | 'reason'> {
  const reason = badReason(splitSeriesId(series)?.quantity ?? 'temperature', value)
  return reason === null ? { value, quality: 'good' } : { value, quality: 'bad', reason }
}

/** Readings of one instrument and instant, of believable or wrong time. */
function readingOf(step: Step & { is: 'reading' }, at: number): NewEntry {
  const series = `${names[step.who]}.${step.humidity ? 'humidity' : 'temperature'}`
  const number = step.humidity && step.value > 0 ? step.value - 40 : step.value
  const entry: NewEntry = { kind: 'reading', at, series, measuredAt: at - step.ageMs, ...valued(series, number) }
  return step.wrongMs === null ? entry : { ...entry, measuredAt: at, claimedAt: at + step.wrongMs }
}

/** The newest reading once more, with another value: what two devices of one name send. */
function otherValue(newest: NewReading | null, by: number, at: number): NewReading | null {
  if (!newest) return null
  const { series, measuredAt, value } = newest
  return { kind: 'reading', at, series, measuredAt, ...valued(series, value + by) }
}

const recipes = [
  { kind: 'coating', recipe: 'wax' },
  { kind: 'drying', recipe: 'dry' },
  { kind: 'burnout', recipe: 'burn' },
  { kind: 'burnout', recipe: 'burn-ab' },
] as const

function entryOf(
  step: Exclude<Step, Stretch | { is: 'other-value' }>,
  at: number,
  house: House,
  runs: string[],
): NewEntry | null {
  switch (step.is) {
    case 'reading':
      return readingOf(step, at)
    case 'fault':
      return {
        kind: 'fault',
        at,
        instrument: names[step.who] as string,
        measuredAt: at - step.ageMs,
        text: 'open circuit',
      }
    case 'presence':
      return { kind: 'presence', at, instrument: names[step.who] as string, online: step.online }
    case 'tick':
      return { kind: 'tick', at }
    case 'start':
      return { kind: 'start', at, downSince: house.at }
    case 'clock-step':
      return { kind: 'clock-step', at, byMs: step.byMs }
    case 'foundry':
      return { kind: 'foundry', at, revision: house.rules.revision + 1, foundry: step.foundry }
    case 'acknowledge': {
      const alarm = house.alarms[step.nth]
      return alarm ? { kind: 'act', at, by: 'Ana', act: 'acknowledge', alarm: alarm.id } : null
    }
    case 'check': {
      const check = { reference: 'ice-point', readsC: 0.2, isC: 0, uC: 0.1, readings: 6, spreadC: 0.1 } as const
      const instrument = names[step.who] as string
      return { kind: 'act', at, by: 'Ana', act: 'check', instrument, check: { ...check, from: at - minute, to: at } }
    }
    case 'run-start': {
      const run = `run-${runs.length + 1}`
      const { kind, recipe } = recipes[step.recipe] as (typeof recipes)[number]
      runs.push(run)
      return {
        kind: 'act',
        at,
        by: 'Ana',
        act: 'run-start',
        run,
        declaration: { kind, station: `S${step.station}`, recipe, startedAt: at },
      }
    }
    case 'run': {
      const run = runs[runs.length - 1 - step.nth]
      if (run === undefined) return null
      if (step.act === 'undo') return { kind: 'act', at, by: 'Ana', act: 'run-undo', run }
      if (step.act === 'close') return { kind: 'act', at, by: 'Ana', act: 'run-close', run, reason: 'done' }
      return { kind: 'act', at, by: 'Ana', act: 'run-step', run, step: { step: 'coat', coat: step.act } }
    }
  }
}

/** The journal that a plan leaves in a store. People acknowledge what stands, so the judge is asked on the way. */
export async function journalOf(plan: Plan): Promise<Entry[]> {
  const store = memoryStore({ breathe: async () => {} })
  const runs: string[] = []
  let house = emptyHouse()
  let at = noon
  let newest: NewReading | null = null
  const tell = async (entry: NewEntry) => {
    for (const fate of await store.append([entry])) if (fate.is !== 'duplicate') house = judge(house, fate.entry)[0]
  }
  await tell({ kind: 'foundry', at: noon, revision: 1, foundry: plan.foundry })
  for (const { afterMs, step } of plan.steps) {
    at += afterMs + (step.is === 'clock-step' ? step.byMs : 0)
    if (step.is === 'stretch') {
      for (let i = 0; i < step.count; i++, at += step.everyMs) {
        const value = step.comesBack && i > step.count / 2 ? recipesAgreeOn : step.from + i * step.perReading
        await tell(readingOf({ ...step, is: 'reading', value, ageMs: 0, wrongMs: null }, at))
      }
      continue
    }
    const entry: NewEntry | null =
      step.is === 'other-value' ? otherValue(newest, step.by, at) : entryOf(step, at, house, runs)
    if (entry) await tell(entry)
    if (entry?.kind === 'reading') newest = entry
  }
  return store.journal(0, Infinity)
}

/** What a store makes of entries that are handed over in calls of the given length. */
export async function storedIn(entries: readonly NewEntry[], callLength: number): Promise<Entry[]> {
  const store = memoryStore({ breathe: async () => {} })
  for (let i = 0; i < entries.length; i += callLength) await store.append(entries.slice(i, i + callLength))
  return store.journal(0, Infinity)
}

/** An entry as it was handed to the store. A reading that was refused for a conflict is there again. */
export function sentAgain(entry: Entry): NewEntry {
  const { seq: _, ...sent } = entry
  if (sent.kind !== 'conflict') return sent
  const { at, series, measuredAt, refused } = sent
  return { kind: 'reading', at, series, measuredAt, ...valued(series, refused) }
}
