/** A tale told to the judge entry by entry: a small invented foundry, its clock in seconds, and what came of it. */
import {
  type Alarm,
  type Entry,
  type EntryOf,
  type Finding,
  Foundry,
  type NewEntry,
  type Recipe,
  type RunDeclaration,
  type Station,
} from '../../shared/contract/index.ts'
import { type Changes, emptyHouse, type House, judge, nextDue, standingFindings } from '../../shared/judge/index.ts'

/** Noon of an invented day. */
export const noon = 1_900_000_000_000

type Loose<T> = Partial<T> & Record<string, unknown>

export interface Setting {
  stations: Loose<Station>[]
  instruments: Record<string, unknown>[]
  recipes?: (Partial<Recipe> & Record<string, unknown>)[]
}

export function foundryOf(setting: Setting): Foundry {
  return Foundry.parse({
    site: { name: 'Invented', timeZone: 'UTC', elevationM: 0, invented: true },
    recipes: [],
    ...setting,
  })
}

/** One pot with one probe that speaks every ten seconds, and these limits. */
export function onePot(limits: Record<string, unknown>[], more: Record<string, unknown> = {}): Setting {
  return {
    stations: [{ id: 'P', name: 'Pot', kind: 'pot', limits } as Loose<Station>],
    instruments: [{ id: 'p', name: 'Probe', kind: 'thermocouple', station: 'P', intervalS: 10, ...more }],
  }
}

export class Tale {
  house: House = emptyHouse()
  /** Every finding as it was last told. */
  readonly findings = new Map<string, Finding>()
  readonly journal: Entry[] = []
  seq = 0

  constructor(setting: Setting, atS = 0) {
    this.setUp(setting, atS)
  }

  tell(entry: NewEntry): Changes {
    const whole = { ...entry, seq: ++this.seq } as Entry
    this.journal.push(whole)
    const [house, changes] = judge(this.house, whole)
    this.house = house
    for (const finding of changes.findings) this.findings.set(finding.id, finding)
    return changes
  }

  setUp(setting: Setting, atS: number): Changes {
    return this.tell({
      kind: 'foundry',
      at: noon + atS * 1_000,
      revision: this.house.rules.revision + 1,
      foundry: foundryOf(setting),
    })
  }

  /** A reading measured at `atS` that arrives `lateS` later. */
  reads(
    series: string,
    atS: number,
    value: number,
    more: Partial<EntryOf<'reading'>> & { lateS?: number } = {},
  ): Changes {
    const { lateS = 0, ...rest } = more
    const measuredAt = noon + atS * 1_000
    return this.tell({
      kind: 'reading',
      at: measuredAt + lateS * 1_000,
      series,
      measuredAt,
      value,
      quality: 'good',
      ...rest,
    })
  }

  /** Readings every `everyS` from `fromS` to `toS`, both included. */
  readsOn(series: string, fromS: number, toS: number, everyS: number, value: (atS: number) => number): void {
    for (let s = fromS; s <= toS; s += everyS) this.reads(series, s, value(s))
  }

  bad(series: string, atS: number): Changes {
    return this.reads(series, atS, -127, { quality: 'bad', reason: 'sensor-code' })
  }

  tick(atS: number): Changes {
    return this.tell({ kind: 'tick', at: noon + atS * 1_000 })
  }

  faults(instrument: string, atS: number, text = 'open circuit', lateS = 0): Changes {
    return this.tell({
      kind: 'fault',
      instrument,
      measuredAt: noon + atS * 1_000,
      at: noon + (atS + lateS) * 1_000,
      text,
    })
  }

  presence(instrument: string, atS: number, online: boolean): Changes {
    return this.tell({ kind: 'presence', instrument, at: noon + atS * 1_000, online })
  }

  acknowledges(alarm: string, atS: number, by = 'Ana'): Changes {
    return this.tell({ kind: 'act', act: 'acknowledge', alarm, by, at: noon + atS * 1_000 })
  }

  starts(run: string, atS: number, declaration: RunDeclaration): Changes {
    return this.tell({ kind: 'act', act: 'run-start', run, declaration, by: 'Ana', at: noon + atS * 1_000 })
  }

  marks(run: string, atS: number, coat: string): Changes {
    return this.tell({
      kind: 'act',
      act: 'run-step',
      run,
      step: { step: 'coat', coat },
      by: 'Ana',
      at: noon + atS * 1_000,
    })
  }

  undoes(run: string, atS: number): Changes {
    return this.tell({ kind: 'act', act: 'run-undo', run, by: 'Ana', at: noon + atS * 1_000 })
  }

  /** Held against melting ice. */
  checks(instrument: string, atS: number): Changes {
    const at = noon + atS * 1_000
    const found = { reference: 'ice-point', readsC: 0.2, isC: 0, uC: 0.1, readings: 6, spreadC: 0.1 } as const
    return this.tell({
      kind: 'act',
      act: 'check',
      instrument,
      check: { ...found, from: at - 60_000, to: at },
      by: 'Ana',
      at,
    })
  }

  closes(run: string, atS: number): Changes {
    return this.tell({ kind: 'act', act: 'run-close', run, reason: 'done', by: 'Ana', at: noon + atS * 1_000 })
  }

  /** What stands now, as `kind subject`. */
  standing(): string[] {
    return this.house.stations.flatMap((s) => standingFindings(s)).map((f) => `${f.kind} ${f.subject}`)
  }

  alarms(): string[] {
    return this.house.alarms.map((a) => `${a.kind} ${a.state}`)
  }

  alarm(): Alarm {
    const [alarm] = this.house.alarms
    if (!alarm) throw new Error('No alarm stands.')
    return alarm
  }

  /** Findings of a kind, in the order in which they were announced; times in seconds after noon. */
  told(kind: Finding['kind']): { since: number; raised: number; cleared: number | null }[] {
    return [...this.findings.values()]
      .filter((f) => f.kind === kind)
      .map((f) => ({
        since: seconds(f.since),
        raised: seconds(f.raisedAt),
        cleared: f.clearedAt === undefined ? null : seconds(f.clearedAt),
      }))
  }

  /** Seconds after noon at which time alone would next change something. */
  due(): number {
    return seconds(nextDue(this.house))
  }

  progress<K extends 'coating' | 'drying' | 'burnout'>(run: string, kind: K) {
    const found = this.house.stations.flatMap((s) => s.runs).find((r) => r.run.id === run)?.run.progress
    if (found?.kind !== kind) throw new Error(`There is no open ${kind} ${run}.`)
    return found as Extract<typeof found, { kind: K }>
  }
}

export function seconds(at: number): number {
  return (at - noon) / 1_000
}
