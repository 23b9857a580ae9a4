/** What is kept and how it is kept safe, as the page tells it. Times are epoch ms, sizes bytes. */
import type { DurationMs, EpochMs } from '../time.ts'

/** What the store holds now. */
export interface Held {
  readings: number
  series: number
  /** Earliest measuredAt; null before the first reading. */
  since: EpochMs | null
  /** On disk in all; null where nothing is on a disk. */
  bytes: number | null
  /** Readings that lie in blocks, and what these take. */
  sealedReadings: number
  sealedBytes: number
}

/** Once that readings were let go. */
export interface LetGo {
  at: EpochMs
  before: EpochMs
  readings: number
}

export interface Retention {
  /** Null: everything is kept. */
  keepDays: number | null
  /** Of all times together. */
  letGo: number
  /** The last few times, newest first. */
  times: LetGo[]
  /** Why nothing could be let go the last time it was tried. */
  trouble: string | null
}

export interface DiskRoom {
  freeBytes: number
  totalBytes: number
}

/** How fast it grows. Told only when a whole week of readings is there to tell it by. */
export interface Pace {
  weekReadings: number
  /** What these will take once they are in blocks, as the readings of this house do. */
  weekBytes: number
  /** Until the disk is full at that pace; null where it cannot be told. */
  lastsMs: DurationMs | null
}

export interface BackupListed {
  name: string
  at: EpochMs
  bytes: number
}

export interface BackupMaking {
  doing: 'copying' | 'checking'
  /** 0 … 1 of that. */
  share: number
}

export interface BackupsTold {
  folder: string
  everyHours: number
  keep: number
  /** Newest first. Each was opened again and checked before it got its name. */
  items: BackupListed[]
  making: BackupMaking | null
  /** When the next one is due; null while it cannot be told, and `waiting` says why. */
  nextAt: EpochMs | null
  waiting: string | null
  /** Why the last try failed; null when it did not. */
  trouble: string | null
}

/** The nightly mail, as far as anybody who may look at the house may know: no name, no password. */
export interface MailTold {
  /** HOST:PORT. */
  server: string
  /** Its hour, as a time of day of the site. */
  at: string
  recipients: number
  /** When the next one is due; null while it cannot be told, and `held` says why. */
  nextAt: EpochMs | null
  held: string | null
  last: MailedLast | null
  /** Why the last try failed; null when it did not. */
  trouble: string | null
  /** When it is tried again; null where nothing waits. */
  againAt: EpochMs | null
}

/** The newest night that was mailed or given up. */
export interface MailedLast {
  /** The local date on which it began. */
  night: string
  at: EpochMs
  taken: number
  waiting: number
  /** Addresses that were given up. */
  refused: string[]
}

export interface KeepingBody {
  now: EpochMs
  /** The folder of the gateway's database; null where there is none. */
  data: string | null
  held: Held
  retention: Retention
  disk: DiskRoom | null
  pace: Pace | null
  /** Null where no folder for backups is set: then none are made. */
  backups: BackupsTold | null
  /** Null where no mail server is set: then nothing is mailed. */
  mail: MailTold | null
  /** Why finished hours could not be sealed the last time; null when they could. */
  sealingTrouble: string | null
}
