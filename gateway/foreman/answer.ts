/** Answers: what people do – acknowledge, start, mark, take back, close, set up the foundry – checked, recorded, then judged like everything else. */
import {
  type Alarm,
  Fault,
  Foundry,
  type Heard,
  type Instrument,
  explainFoundry,
  type NewEntry,
  type Recipe,
  type Run,
  type RunDeclaration,
  type RunStep,
  recipeKindOf,
  splitSeriesId,
  type Station,
} from '../../shared/contract/index.ts'
import { heldSince, recipeOf } from '../../shared/judge/index.ts'
import type { Clock } from '../../shared/time.ts'
import type { Fate, Store } from '../store/store.ts'
import type { Foreman } from './foreman.ts'
import { burnoutStep } from './burnout-step.ts'
import { dryingStep, isDryingStep } from './drying-step.ts'
import type { RunEntry } from './ledger.ts'

/** A run may be declared to have begun a moment ago without being one over the past. */
const justNowMs = 60_000

export interface Claim {
  name: string
  kind: Instrument['kind']
  station?: string | undefined
  newStation?: Pick<Station, 'id' | 'name' | 'kind'> | undefined
  position?: string | undefined
  intervalS?: number | undefined
  place?: Instrument['place'] | undefined
  unit?: Instrument['numberUnit'] | undefined
  thermocouple?: Instrument['thermocouple'] | undefined
}

export class Answer {
  readonly #foreman: Foreman
  readonly #store: Store
  readonly #clock: Clock
  readonly #record: (entries: NewEntry[]) => Promise<Fate[]>
  #settingUp: Promise<unknown> = Promise.resolve()
  #started = 0

  constructor(parts: {
    foreman: Foreman
    store: Store
    clock: Clock
    record: (entries: NewEntry[]) => Promise<Fate[]>
  }) {
    this.#foreman = parts.foreman
    this.#store = parts.store
    this.#clock = parts.clock
    this.#record = parts.record
  }

  async acknowledge(id: string, by: string): Promise<Alarm> {
    const alarm = this.#foreman.alarms().find((a) => a.id === id)
    if (!alarm)
      throw new Fault('alarm-normal', 'This alarm is not standing: it is back to normal and was seen, or never was.')
    const at = this.#clock.now()
    await this.#record([{ at, kind: 'act', by, act: 'acknowledge', alarm: id }])
    const now = this.#foreman.alarms().find((a) => a.id === id)
    return now ?? { ...alarm, state: 'normal', acknowledgedAt: at, acknowledgedBy: by }
  }

  #recipeFor(declaration: RunDeclaration): Recipe {
    const { foundry } = this.#foreman.house.rules
    const station = foundry.stations.find((s) => s.id === declaration.station)
    if (!station) throw new Fault('not-found', `There is no station "${declaration.station}".`)
    const recipe = recipeOf(foundry, declaration.recipe, declaration.revision)
    if (!recipe)
      throw new Fault(
        'not-found',
        `There is no recipe "${declaration.recipe}"${declaration.revision ? ` revision ${declaration.revision}` : ''}.`,
      )
    const wanted = recipeKindOf[declaration.kind]
    if (recipe.kind !== wanted)
      throw new Fault(
        'not-valid',
        `A ${declaration.kind} follows a ${wanted} recipe; "${recipe.id}" is a ${recipe.kind} recipe.`,
      )
    return recipe
  }

  async startRun(declaration: RunDeclaration, by: string): Promise<RunEntry> {
    const recipe = this.#recipeFor(declaration)
    const now = this.#clock.now()
    const { startedAt = now, endedAt } = declaration
    if (startedAt > now + justNowMs) throw new Fault('not-valid', 'A run cannot have begun in the future.')
    if (endedAt === undefined && startedAt < now - justNowMs && !this.#isHeld(declaration, startedAt))
      throw new Fault(
        'not-valid',
        'A run that began in the past must say when it ended (`endedAt`); one that goes on begins now, or, of a kiln, as far back as what it did is held.',
      )
    if (endedAt !== undefined && (endedAt <= startedAt || endedAt > now))
      throw new Fault('not-valid', 'A declared run must end after it began, and not in the future.')
    const strangers = declaration.pots?.filter((pot) => !this.#isPot(pot)) ?? []
    if (strangers.length > 0) throw new Fault('not-valid', `There is no pot "${strangers[0]}".`)
    // Two may be started before either is on disk; after a restart the journal is longer.
    const run = `run-${this.#store.head() + 1}-${++this.#started}`
    const whole: RunDeclaration = { ...declaration, startedAt, revision: recipe.revision }
    await this.#record([{ at: now, kind: 'act', by, act: 'run-start', run, declaration: whole }])
    return this.run(run)
  }

  /** Whether the judge still holds what this kiln did since then, so that a burnout can be joined to its past. */
  #isHeld({ kind, station }: RunDeclaration, since: number): boolean {
    const { rules, stations } = this.#foreman.house
    const kiln = stations[rules.stationOf.get(station) ?? -1]
    return kind === 'burnout' && kiln !== undefined && heldSince(kiln) <= since
  }

  #isPot(id: string): boolean {
    const { stationOf, stations } = this.#foreman.house.rules
    return stations[stationOf.get(id) ?? -1]?.pot != null
  }

  /** Somebody stirred a pot, or put new wax in. */
  async potDeed(station: string, act: 'stirred' | 'new-wax', by: string): Promise<void> {
    if (!this.#isPot(station)) throw new Fault('not-found', `There is no pot "${station}".`)
    await this.#record([{ at: this.#clock.now(), kind: 'act', by, act, station }])
  }

  run(id: string): RunEntry {
    const run = this.#foreman.ledger.get(id)
    if (!run) throw new Fault('not-found', `There is no run "${id}".`)
    return run
  }

  /** The run as the judge holds it; null once it is closed. */
  open(id: string): Run | null {
    for (const station of this.#foreman.house.stations) for (const r of station.runs) if (r.run.id === id) return r.run
    return null
  }

  #openRun(id: string): RunEntry {
    const run = this.run(id)
    if (run.closed) throw new Fault('run-closed')
    return run
  }

  async step(id: string, step: RunStep, by: string): Promise<RunEntry> {
    const run = this.#openRun(id)
    if (step.step === 'coat') {
      const recipe = this.#recipeFor(run.declaration)
      if (recipe.kind !== 'wax') throw new Fault('not-valid', `A ${run.declaration.kind} has no coats.`)
      if (!recipe.coats.some((c) => c.id === step.coat))
        throw new Fault(
          'not-valid',
          `The recipe "${recipe.id}" has no coat "${step.coat ?? ''}"; it has ${recipe.coats.map((c) => c.id).join(', ')}.`,
        )
      const pots = [run.declaration.station, ...(run.declaration.pots ?? [])]
      if (step.pot !== undefined && !pots.includes(step.pot))
        throw new Fault('not-valid', `This coating takes from ${pots.join(', ')}; "${step.pot}" is none of them.`)
    } else if (step.step === 'note') {
      if (step.text === undefined) throw new Fault('not-valid', 'A note needs its `text`.')
    } else if (isDryingStep(step)) dryingStep(this.#foreman.house, run, step)
    else burnoutStep(this.#foreman.house, this.#recipeFor(run.declaration), run, step, this.open(id))
    await this.#record([{ at: this.#clock.now(), kind: 'act', by, act: 'run-step', run: id, step }])
    return this.run(id)
  }

  async undo(id: string, by: string): Promise<RunEntry> {
    const { steps } = this.#openRun(id)
    const progress = this.open(id)?.progress
    // A button at the bench marks coats that no page was told of.
    const done = progress?.kind === 'coating' ? progress.done.length : 0
    if (done === 0 && !steps.some((s) => s.step.step === 'coat')) throw new Fault('nothing-to-undo')
    await this.#record([{ at: this.#clock.now(), kind: 'act', by, act: 'run-undo', run: id }])
    return this.run(id)
  }

  async close(id: string, reason: string, by: string): Promise<RunEntry> {
    this.#openRun(id)
    await this.#record([{ at: this.#clock.now(), kind: 'act', by, act: 'run-close', run: id, reason }])
    return this.run(id)
  }

  /** Checks a whole document; throws with a sentence for every fault in it. */
  check(document: unknown): Foundry {
    const parsed = Foundry.safeParse(document)
    if (!parsed.success) {
      const complaints = explainFoundry(parsed.error, document)
      const count = complaints.length === 1 ? 'One thing is' : `${complaints.length} things are`
      throw new Fault('not-valid', `${count} wrong: ${complaints[0]?.sentence ?? ''}`, complaints)
    }
    this.#usedRevisionsStay(parsed.data)
    this.#openRunsStay(parsed.data)
    return parsed.data
  }

  #usedRevisionsStay(next: Foundry): void {
    for (const before of this.#foreman.house.rules.foundry.recipes) {
      if (!this.#foreman.ledger.uses(before.id, before.revision)) continue
      const after = next.recipes.find((r) => r.id === before.id && r.revision === before.revision)
      if (JSON.stringify(after) !== JSON.stringify(before))
        throw new Fault(
          'used-revision',
          `Recipe "${before.id}" revision ${before.revision} was used by a run and never changes; write revision ${before.revision + 1} beside it.`,
        )
    }
  }

  #openRunsStay(next: Foundry): void {
    for (const run of this.#foreman.ledger.list())
      if (!run.closed && !next.stations.some((s) => s.id === run.declaration.station))
        throw new Fault(
          'not-valid',
          `The station "${run.declaration.station}" has an open run (${run.id}); close it before the station is taken out.`,
        )
  }

  /** One set-up after another: each is checked against the one before it. `revision`, where given, must be the present one. */
  async setUp(make: (now: Foundry) => unknown, revision?: number): Promise<{ revision: number; foundry: Foundry }> {
    const turn = this.#settingUp.then(async () => {
      const { rules } = this.#foreman.house
      if (revision !== undefined && revision !== rules.revision)
        throw new Fault(
          'other-revision',
          `You changed revision ${revision}; the foundry is at revision ${rules.revision}.`,
        )
      const foundry = this.check(make(rules.foundry))
      const next = rules.revision + 1
      const heard = await this.#heardOf(rules.foundry, foundry)
      const at = this.#clock.now()
      await this.#record([{ at, kind: 'foundry', revision: next, foundry, ...(heard.length > 0 ? { heard } : {}) }])
      return { revision: next, foundry }
    })
    this.#settingUp = turn.catch(() => {})
    return turn
  }

  /** The newest readings of whoever is in the document for the first time. */
  async #heardOf(before: Foundry, after: Foundry): Promise<Heard[]> {
    const known = new Set(before.instruments.map((i) => i.id))
    const added = new Set(after.instruments.map((i) => i.id).filter((id) => !known.has(id)))
    if (added.size === 0) return []
    return (await this.#store.summaries())
      .filter(({ series }) => added.has(splitSeriesId(series)?.instrument ?? ''))
      .map(({ series, newest: { measuredAt, arrivedAt, value, quality } }) => ({
        series,
        measuredAt,
        arrivedAt,
        value,
        quality,
      }))
  }

  claim(id: string, claim: Claim): Promise<{ revision: number; foundry: Foundry }> {
    if (!this.#foreman.strangers.get(id)) throw new Fault('not-found', `Nobody unclaimed publishes as "${id}".`)
    return this.setUp((now) => {
      const station = claim.newStation?.id ?? claim.station
      const instrument = {
        id,
        name: claim.name,
        kind: claim.kind,
        station,
        position: claim.position,
        intervalS: claim.intervalS,
        place: claim.place,
        numberUnit: claim.unit,
        thermocouple: claim.thermocouple,
      }
      return {
        ...now,
        stations: claim.newStation ? [...now.stations, claim.newStation] : now.stations,
        instruments: [...now.instruments, JSON.parse(JSON.stringify(instrument)) as unknown],
      }
    })
  }
}
