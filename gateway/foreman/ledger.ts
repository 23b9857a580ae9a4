/** The ledger: who started which run, when, what was marked, and how it ended, and who checked which instrument; folded from the acts in the journal. */
import type { CheckDone, Entry, EntryOf, RunDeclaration, RunStep } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'

export interface RunEntry {
  id: string
  declaration: RunDeclaration
  recipeRevision: number | null
  startedBy: string
  /** When it was said, and the time it speaks of. */
  saidAt: EpochMs
  startedAt: EpochMs
  endedAt: EpochMs | null
  closed: { at: EpochMs; by: string; reason: string } | null
  /** Its acts, in order, for the record. */
  acts: EntryOf<'act'>[]
  steps: { step: RunStep; at: EpochMs; by: string }[]
}

/** A coat goes on once: a button pressed twice with a waxy hand marks it once, as the judge does. */
function isMarked(run: RunEntry, { step, coat }: RunStep): boolean {
  return step === 'coat' && run.steps.some((s) => s.step.step === 'coat' && s.step.coat === coat)
}

/** The last coat comes off again; what was noted stays noted. */
function takeBack(run: RunEntry): void {
  const last = run.steps.findLastIndex((s) => s.step.step === 'coat')
  if (last >= 0) run.steps.splice(last, 1)
}

export class Ledger {
  readonly #runs = new Map<string, RunEntry>()
  readonly #checks = new Map<string, CheckDone[]>()

  observe(entry: Entry): void {
    if (entry.kind !== 'act') return
    if (entry.act === 'check') return this.#check(entry)
    if (entry.act === 'run-start') return this.#start(entry, entry.run, entry.declaration)
    if (!('run' in entry)) return
    const run = this.#runs.get(entry.run)
    if (!run || run.closed) return
    run.acts.push(entry)
    if (entry.act === 'run-step' && !isMarked(run, entry.step))
      run.steps.push({ step: entry.step, at: entry.at, by: entry.by })
    if (entry.act === 'run-undo') takeBack(run)
    if (entry.act === 'run-close') {
      run.closed = { at: entry.at, by: entry.by, reason: entry.reason }
      run.endedAt ??= entry.at
    }
  }

  #check({ instrument, check, seq, at, by }: EntryOf<'act'> & { act: 'check' }): void {
    this.#checks.set(instrument, [...this.checksOf(instrument), { ...check, seq, at, by }])
  }

  /** Checks of an instrument, the newest last. */
  checksOf(instrument: string): readonly CheckDone[] {
    return this.#checks.get(instrument) ?? []
  }

  #start(entry: EntryOf<'act'>, id: string, declaration: RunDeclaration): void {
    const over = declaration.endedAt ?? null
    this.#runs.set(id, {
      id,
      declaration,
      recipeRevision: declaration.revision ?? null,
      startedBy: entry.by,
      saidAt: entry.at,
      startedAt: declaration.startedAt ?? entry.at,
      endedAt: over,
      closed: over === null ? null : { at: over, by: entry.by, reason: 'declared over a past period' },
      acts: [entry],
      steps: [],
    })
  }

  get(id: string): RunEntry | undefined {
    return this.#runs.get(id)
  }

  /** Newest first. */
  list(): RunEntry[] {
    return [...this.#runs.values()].sort((a, b) => b.startedAt - a.startedAt || (a.id < b.id ? 1 : -1))
  }

  /** Whether a recipe revision was ever used: then it never changes. */
  uses(recipe: string, revision: number): boolean {
    return [...this.#runs.values()].some(
      (r) => r.declaration.recipe === recipe && (r.recipeRevision ?? revision) === revision,
    )
  }
}
