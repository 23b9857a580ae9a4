/** Backups by the clock: made when due, told when they fail, rotated only once the new one is verified. */
import { backupRetryMs, type BackupsTold } from '../../shared/contract/index.ts'
import type { Clock, DurationMs } from '../../shared/time.ts'
import type { BackupPlace } from './backups.ts'
import { dueAt, surplus } from './rotation.ts'
import { sentenceOf } from './sentence.ts'

export interface BackupPlan {
  place: BackupPlace
  everyHours: number
  keep: number
}

export interface ScheduleParts {
  clock: Clock
  /** False where our clock cannot be believed. */
  knowsTime: () => boolean
  /** For whoever reads the log. */
  tell: (sentence: string, isTrouble: boolean) => void
}

const noTime = 'The gateway does not know the time, and a backup is called after its moment; set its clock.'

export class BackupSchedule {
  readonly #plan: BackupPlan
  readonly #parts: ScheduleParts
  #making: Promise<void> | null = null
  #failedAt: DurationMs | null = null
  #trouble: string | null = null
  failures = 0

  constructor(plan: BackupPlan, parts: ScheduleParts) {
    this.#plan = plan
    this.#parts = parts
  }

  /** Makes one if one is due. Resolves when that is over. */
  async look(): Promise<void> {
    const { clock, knowsTime } = this.#parts
    if (this.#making !== null) return this.#making
    if (!knowsTime()) return
    if (this.#failedAt !== null && clock.elapsed() - this.#failedAt < backupRetryMs) return
    const made = await this.#plan.place.list()
    if (dueAt(made, this.#plan.everyHours, clock.now()) <= clock.now()) await this.makeNow()
  }

  /** Makes one now, or joins the one that is being made. Never rejects: what went wrong is told. */
  makeNow(): Promise<void> {
    this.#making ??= this.#make().finally(() => {
      this.#making = null
    })
    return this.#making
  }

  get isMaking(): boolean {
    return this.#making !== null
  }

  async #make(): Promise<void> {
    const { clock, knowsTime, tell } = this.#parts
    try {
      if (!knowsTime()) throw new Error(noTime)
      const { name, bytes } = await this.#plan.place.make(clock.now())
      this.#trouble = null
      this.#failedAt = null
      tell(`The backup ${name} is made and checked (${bytes} bytes).`, false)
      await this.#rotate()
    } catch (error) {
      this.failures++
      this.#failedAt = clock.elapsed()
      this.#trouble = sentenceOf(error)
      tell(this.#trouble, true)
    }
  }

  async #rotate(): Promise<void> {
    const { place, keep } = this.#plan
    for (const { name } of surplus(await place.list(), keep, this.#parts.clock.now())) {
      await place.remove(name)
      this.#parts.tell(`The backup ${name} was taken away: ${keep} newer ones are kept.`, false)
    }
  }

  async told(): Promise<BackupsTold> {
    const { place, everyHours, keep } = this.#plan
    const { clock, knowsTime } = this.#parts
    const items = await place.list()
    const known = knowsTime()
    const retryIn = this.#failedAt === null ? 0 : Math.max(0, backupRetryMs - (clock.elapsed() - this.#failedAt))
    const now = clock.now()
    return {
      folder: place.folder,
      everyHours,
      keep,
      items,
      making: this.#making === null ? null : (place.progress() ?? { doing: 'copying', share: 0 }),
      nextAt: known ? Math.max(dueAt(items, everyHours, now), now + retryIn) : null,
      waiting: known ? null : noTime,
      trouble: this.#trouble,
    }
  }

  stop(): void {
    if (this.#making !== null) this.#plan.place.stop()
  }
}
