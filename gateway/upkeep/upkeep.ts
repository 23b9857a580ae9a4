/** Upkeep: what must be done again and again so that the record stays small, safe and as long as the house wishes. It begins nothing by itself. */
import {
  type DiskRoom,
  Fault,
  type Held,
  type KeepingBody,
  type NewEntry,
  upkeepEveryMs,
} from '../../shared/contract/index.ts'
import type { Clock } from '../../shared/time.ts'
import type { Fate, Store } from '../store/store.ts'
import { type BackupPlan, BackupSchedule } from './backup-schedule.ts'
import { Pace } from './pace.ts'
import { Retention } from './retention.ts'
import { Sealing } from './sealing.ts'

export interface UpkeepParts {
  store: Store
  clock: Clock
  /** False where our clock cannot be believed: then nothing is named after it, and nothing let go by it. */
  knowsTime: () => boolean
  record: (entries: NewEntry[]) => Promise<Fate[]>
  tell: (sentence: string, isTrouble: boolean) => void
  /** Null where no folder for backups is set. */
  backups: BackupPlan | null
  keepDays: number | null
  /** Folder of the database; null where there is none. */
  data: string | null
  disk: () => DiskRoom | null
}

export class Upkeep {
  readonly #parts: UpkeepParts
  readonly #sealing: Sealing
  readonly #schedule: BackupSchedule | null
  readonly #retention: Retention
  readonly #pace: Pace
  #callOff: () => void = () => {}
  #turn: Promise<void> = Promise.resolve()
  #ended = false

  constructor(parts: UpkeepParts) {
    const { store, clock, knowsTime, tell, record, keepDays } = parts
    this.#parts = parts
    this.#sealing = new Sealing(store, clock)
    this.#schedule = parts.backups && new BackupSchedule(parts.backups, { clock, knowsTime, tell })
    this.#retention = new Retention({ store, clock, knowsTime, record, keepDays, tell })
    this.#pace = new Pace(store, clock)
  }

  begin(): void {
    this.#sealing.begin()
    this.#next()
  }

  #next(): void {
    if (this.#ended) return
    this.#callOff = this.#parts.clock.after(upkeepEveryMs, () => {
      this.#turn = this.#look().finally(() => this.#next())
    })
  }

  /** First the copy, then what is let go: so that it is in one backup at least. */
  async #look(): Promise<void> {
    await this.#schedule?.look()
    if (!this.#ended) await this.#retention.look()
  }

  /** Begins a backup, or finds one begun; it goes on by itself. Throws a Fault where no folder is set. */
  backUpNow(): void {
    if (this.#schedule === null) throw new Fault('no-backups')
    void this.#schedule.makeNow()
  }

  /** For /metrics. */
  get failedBackups(): number {
    return this.#schedule?.failures ?? 0
  }
  get sealedBlocks(): number {
    return this.#sealing.blocks
  }
  async newestBackupAt(): Promise<number | null> {
    return (await this.#schedule?.told())?.items[0]?.at ?? null
  }

  async told(): Promise<Omit<KeepingBody, 'mail'>> {
    const { clock, data, disk } = this.#parts
    const room = disk()
    return {
      now: clock.now(),
      data,
      held: await this.#held(),
      retention: await this.#retention.told(),
      disk: room,
      pace: await this.#pace.told(room),
      backups: (await this.#schedule?.told()) ?? null,
      sealingTrouble: this.#sealing.trouble ?? this.#parts.store.damage(),
    }
  }

  async #held(): Promise<Held> {
    const { store } = this.#parts
    const { openReadings, sealedReadings, sealedBytes, bytes } = await store.stock()
    const summaries = await store.summaries()
    return {
      readings: openReadings + sealedReadings,
      series: summaries.length,
      since: summaries.length === 0 ? null : Math.min(...summaries.map(({ first }) => first)),
      bytes,
      sealedReadings,
      sealedBytes,
    }
  }

  /** Resolves when what was begun is done. */
  async settled(): Promise<void> {
    await Promise.all([this.#sealing.settled(), this.#turn])
  }

  /** A backup that is being made is given up; nothing else is cut short. */
  async end(): Promise<void> {
    this.#ended = true
    this.#callOff()
    this.#schedule?.stop()
    await Promise.all([this.#sealing.end(), this.#turn])
  }
}
