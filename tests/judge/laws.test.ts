/** Laws of the judge over random foundries and random days: what must hold whatever comes, in whatever order, through whatever restart. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  alarmStates,
  type Entry,
  type Finding,
  type FindingKind,
  findingKinds,
  type NewEntry,
} from '../../shared/contract/index.ts'
import {
  byArrival,
  byMeasurement,
  emptyHouse,
  freeze,
  type House,
  judge,
  nextDue,
  standingFindings,
  thaw,
} from '../../shared/judge/index.ts'
import { days, happenings, journalOf, sentAgain, storedIn } from './journals.ts'
import { noon } from './tale.ts'

const runs = 100

/** Told of one moment, and over with it. */
const momentary: ReadonlySet<FindingKind> = new Set<FindingKind>(['conflicting-reading', 'coat-outside-window'])

/** The house as JSON holds it, without what follows from the foundry document. */
function bare(house: House): unknown {
  return JSON.parse(freeze(house))
}

function deepFrozen<T>(value: T): T {
  if (typeof value === 'object' && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value)
    for (const inner of value instanceof Map ? value.values() : Object.values(value)) deepFrozen(inner)
  }
  return value
}

const openEnd = noon + 100 * 3_600_000

describe('the days drawn here', () => {
  it('tell of every kind of finding, late and backlog readings, conflicts, and every alarm state', async () => {
    const seen = new Set<string>()
    for (const plan of fc.sample(days, { numRuns: 500, seed: 7 })) {
      let house = emptyHouse()
      for (const entry of await journalOf(plan)) {
        const [next, changes] = judge(house, entry)
        if (
          entry.kind === 'reading' &&
          next.stations.some((s, i) => s.series.some((r, j) => r.late > (house.stations[i]?.series[j]?.late ?? 0)))
        )
          seen.add('late')
        house = next
        if (entry.kind === 'act') seen.add(entry.act)
        if (house.stations.some(({ series }) => series.some((s) => s.noAnswer !== null))) seen.add('no answer')
        for (const f of changes.findings) seen.add(f.clearedAt === undefined ? `raised ${f.kind}` : `ended ${f.kind}`)
        for (const alarm of changes.alarms) seen.add(alarm.times > 1 ? 'reoccurred' : alarm.state)
        seen.add(entry.kind)
      }
    }
    // A pot that runs away or is left on, and a burnout, take hours of their own: pot-laws.test.ts, burnout-calls.test.ts and burnout-found.test.ts draw them.
    const drawnElsewhere = new Set([
      ...['nearing-ceiling', 'no-cut-off', 'left-on', 'wax-old', 'coat-off-wait'],
      ...['soak-paused', 'leaves-early', 'heat-lost', 'band-too-fast', 'hand-due', 'burnout-found'],
    ])
    const everyKind = findingKinds
      .filter((kind) => !drawnElsewhere.has(kind))
      .flatMap((kind) => (momentary.has(kind) ? [`ended ${kind}`] : [`raised ${kind}`, `ended ${kind}`]))
    const wanted = [
      ...everyKind,
      ...alarmStates,
      'reoccurred',
      'late',
      'conflict',
      'start',
      'clock-step',
      'foundry',
      'fault',
      'presence',
      'check',
      'no answer',
    ]
    expect(wanted.filter((w) => !seen.has(w))).toEqual([])
  })
})

describe('what people saw', () => {
  it('is the same when the gateway was restarted at any moment, however often', async () => {
    await fc.assert(
      fc.asyncProperty(days, fc.infiniteStream(fc.integer({ min: 1, max: 12 })), async (plan, pauses) => {
        const journal = await journalOf(plan)
        const through = byArrival(emptyHouse(), journal)
        const found = new Map<string, Finding>()
        let house = emptyHouse()
        for (let i = 0; i < journal.length; ) {
          const count = pauses.next().value
          const part = byArrival(house, journal.slice(i, i + count))
          for (const finding of part.findings) found.set(finding.id, finding)
          const thawed = thaw(freeze(part.house))
          if (!thawed) throw new Error('The snapshot could not be read back.')
          house = thawed
          i += count
        }
        expect(house).toEqual(through.house)
        expect([...found.values()]).toEqual(through.findings)
      }),
      { numRuns: runs },
    )
  })

  it('is not changed by messages that come twice', async () => {
    await fc.assert(
      fc.asyncProperty(
        days,
        fc.integer({ min: 1, max: 9 }),
        fc.infiniteStream(fc.nat(2)),
        async (plan, callLength, chance) => {
          const journal = await journalOf(plan)
          const twice = journal.flatMap((entry): NewEntry[] => {
            const sent = sentAgain(entry)
            const repeatable = sent.kind === 'reading' || sent.kind === 'fault'
            return repeatable && chance.next().value === 0 ? [sent, { ...sent, at: sent.at }] : [sent]
          })
          const again = await storedIn(twice, callLength)
          expect(again).toEqual(journal)
          expect(byArrival(emptyHouse(), again)).toEqual(byArrival(emptyHouse(), journal))
        },
      ),
      { numRuns: runs },
    )
  })

  it('is judged without touching what was handed in', async () => {
    await fc.assert(
      fc.asyncProperty(days, async (plan) => {
        let house = deepFrozen(emptyHouse())
        for (const entry of await journalOf(plan)) house = deepFrozen(judge(house, deepFrozen(entry))[0])
      }),
      { numRuns: 60 },
    )
  })

  it('holds every finding once, ended at most once, and never before it began', async () => {
    await fc.assert(
      fc.asyncProperty(days, async (plan) => {
        const raised = new Set<string>()
        const ended = new Set<string>()
        let house = emptyHouse()
        for (const entry of await journalOf(plan)) {
          const [next, changes] = judge(house, entry)
          house = next
          for (const finding of changes.findings) {
            if (finding.clearedAt === undefined) {
              expect(raised.has(finding.id), `${finding.id} is announced twice`).toBe(false)
              raised.add(finding.id)
              continue
            }
            expect(ended.has(finding.id), `${finding.id} ends twice`).toBe(false)
            ended.add(finding.id)
            expect(finding.clearedAt).toBeGreaterThanOrEqual(finding.since)
            // What is told and over in one moment is told once, ended already.
            if (!raised.has(finding.id)) expect(finding.raisedSeq).toBe(entry.seq)
            raised.add(finding.id)
          }
        }
        const standing = new Set(house.stations.flatMap((s) => standingFindings(s)).map((f) => f.id))
        for (const id of raised) expect(standing.has(id), id).toBe(!ended.has(id))
        for (const id of standing) expect(raised.has(id), id).toBe(true)
      }),
      { numRuns: runs },
    )
  })

  it('leaves no alarm without a reason: its finding stands, or nobody has acknowledged it', async () => {
    await fc.assert(
      fc.asyncProperty(days, async (plan) => {
        let house = emptyHouse()
        for (const entry of await journalOf(plan)) {
          house = judge(house, entry)[0]
          const standing = new Map(house.stations.flatMap((s) => standingFindings(s)).map((f) => [f.id, f]))
          for (const alarm of house.alarms) {
            const stands = alarm.state === 'unacknowledged' || alarm.state === 'acknowledged'
            const waits = alarm.state === 'returned-unacknowledged'
            if (!(stands || waits) || standing.has(alarm.finding.id) !== stands) expect.fail(JSON.stringify(alarm))
          }
          const told = new Set(house.alarms.map((a) => a.finding.id))
          for (const f of standing.values())
            if (f.tier && !told.has(f.id)) expect.fail(`${f.id} stands without its alarm`)
        }
      }),
      { numRuns: runs },
    )
  })
})

function tickAt(house: House, at: number): Entry {
  return { kind: 'tick', seq: house.seq + 1, at }
}

/** Everything but the time and number of the last entry. */
function content(house: House): unknown {
  const { seq: _, at: __, ...rest } = bare(house) as Record<string, unknown>
  return rest
}

describe('time alone', () => {
  it('finds nothing before it is due, finds something when it is, and comes to rest', async () => {
    await fc.assert(
      fc.asyncProperty(days, fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true }), async (plan, part) => {
        let house = byArrival(emptyHouse(), await journalOf(plan)).house
        for (let ticks = 0; ; ticks++) {
          expect(ticks, 'the watch never comes to rest').toBeLessThan(100)
          const due = nextDue(house)
          const early = house.at + Math.floor((Math.min(due, house.at + 3_600_000) - house.at) * part)
          if (early < due) expect(judge(house, tickAt(house, early))[1].findings).toEqual([])
          if (due === Infinity) return
          expect(due).toBeGreaterThanOrEqual(house.at)
          const [next] = judge(house, tickAt(house, due))
          expect(content(next)).not.toEqual(content(house))
          house = next
        }
      }),
      { numRuns: runs },
    )
  })
})

describe('what happened', () => {
  it('does not depend on the order in which it arrived', async () => {
    await fc.assert(
      fc.asyncProperty(
        happenings,
        fc.infiniteStream(fc.integer({ min: 0, max: 30 * 60_000 })),
        async (plan, delays) => {
          const journal = await journalOf(plan)
          const sent = journal.map(sentAgain)
          // Readings and what instruments say of themselves come later or sooner, each by its own way; what people do is done when it is done.
          const delayed = sent.map((entry) =>
            'measuredAt' in entry && !('claimedAt' in entry)
              ? { ...entry, at: entry.measuredAt + delays.next().value }
              : entry,
          )
          const shuffled = await storedIn(
            delayed.toSorted((a, b) => a.at - b.at),
            5,
          )
          const before = byMeasurement(emptyHouse(), journal, openEnd)
          const after = byMeasurement(emptyHouse(), shuffled, openEnd)
          expect(after.findings).toEqual(before.findings)
          expect(bare(after.house)).toEqual(bare(before.house))
        },
      ),
      { numRuns: runs },
    )
  })

  it('and what people saw are the same where everything came at once, in order, and was watched', async () => {
    await fc.assert(
      fc.asyncProperty(happenings, async (plan) => {
        // Of two things at one instant the judge cannot know which came first; here none are.
        const steps = plan.steps.map((s) => ({
          afterMs: s.afterMs + 1,
          step: 'ageMs' in s.step ? { ...s.step, ageMs: 0, wrongMs: null } : s.step,
        }))
        const journal = (await journalOf({ ...plan, steps })).filter((e) => e.kind !== 'conflict')
        const happened = byMeasurement(emptyHouse(), journal, openEnd)
        let seq = 0
        const watched: Entry[] = []
        let house = emptyHouse()
        const tell = (entry: NewEntry) => {
          const whole = { ...entry, seq: ++seq } as Entry
          watched.push(whole)
          house = judge(house, whole)[0]
        }
        for (const { seq: _, ...entry } of journal) {
          for (let due = nextDue(house); due < entry.at; due = nextDue(house)) tell({ kind: 'tick', at: due })
          tell(entry)
        }
        for (let due = nextDue(house); due <= openEnd; due = nextDue(house)) tell({ kind: 'tick', at: due })
        expect(byArrival(emptyHouse(), watched).findings.map(withoutSeq)).toEqual(happened.findings.map(withoutSeq))
      }),
      { numRuns: runs },
    )
  })
})

/** Entries of one instant are sorted by their kind when they are judged by measurement; only the numbers differ. */
function withoutSeq(finding: Finding): Omit<Finding, 'id' | 'raisedSeq'> {
  const { id: _, raisedSeq: __, ...rest } = finding
  return rest
}
