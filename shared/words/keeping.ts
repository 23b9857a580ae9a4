/** What is kept, for how long, and how it is kept safe, in sentences for whoever looks after the machine. */
import type { BackupsTold, DiskRoom, Held, Pace, Retention } from '../contract/index.ts'
import { dayMs, type DurationMs, type EpochMs } from '../time.ts'
import { ago, count, moment, sentenceCase, type Speech } from './speech.ts'

const plain = new Intl.NumberFormat('en-GB')

/** 12,345,678: every digit, for a count that somebody may compare. */
export function wholeNumber(n: number): string {
  return plain.format(n)
}

const bytesUnits = ['bytes', 'kB', 'MB', 'GB', 'TB', 'PB'] as const

/** 31 MB, 1.2 GB: thousands of thousands, as disks are sold. */
export function bytesWords(bytes: number): string {
  let value = bytes
  let unit = 0
  while (value >= 999.5 && unit < bytesUnits.length - 1) {
    value /= 1_000
    unit++
  }
  const digits = unit > 0 && value < 9.95 ? value.toFixed(1).replace(/\.0$/, '') : value.toFixed(0)
  return `${digits} ${bytesUnits[unit] as string}`
}

/** 3 March 2025. */
export function longDate(at: EpochMs, { timeZone }: Pick<Speech, 'timeZone'>): string {
  return new Intl.DateTimeFormat('en-GB', { timeZone, day: 'numeric', month: 'long', year: 'numeric' }).format(at)
}

const readings = (n: number) => `${wholeNumber(n)} reading${n === 1 ? '' : 's'}`

export function heldSays(held: Held, speech: Pick<Speech, 'timeZone'>): string {
  if (held.readings === 0 || held.since === null) return 'Nothing is kept yet: no instrument has spoken.'
  return `${readings(held.readings)} of ${held.series === 1 ? 'one series' : `${wholeNumber(held.series)} series`} since ${longDate(held.since, speech)}.`
}

/** What they take, and how tightly they lie. */
export function sizeSays(held: Held): string | null {
  if (held.bytes === null || held.readings === 0) return null
  const sealed =
    held.sealedReadings === 0
      ? ''
      : ` A reading of a finished hour takes ${(held.sealedBytes / held.sealedReadings).toFixed(1)} bytes.`
  return `They take ${bytesWords(held.bytes)} on the disk.${sealed}`
}

export function letGoSays({ letGo, times }: Retention, speech: Pick<Speech, 'timeZone'>): string {
  const [last] = times
  if (last === undefined || letGo === 0) return 'Nothing has been let go.'
  return `${readings(letGo)} measured before ${longDate(last.before, speech)} ${letGo === 1 ? 'has' : 'have'} been let go.`
}

export function retentionSays({ keepDays }: Pick<Retention, 'keepDays'>): string {
  return keepDays === null
    ? 'Every reading is kept for ever. With the setting --keep-days the house can let old ones go.'
    : `Readings are kept for ${wholeNumber(keepDays)} days. Older ones are let go once a day, and the journal says so.`
}

export function diskSays(disk: DiskRoom): string {
  return `${bytesWords(disk.freeBytes)} of ${bytesWords(disk.totalBytes)} on this disk are free.`
}

export function paceSays(pace: Pace | null): string {
  if (pace === null)
    return 'How long that lasts is not known yet: there is no whole week of sealed readings to tell it by.'
  if (pace.weekReadings === 0 || pace.lastsMs === null)
    return 'Last week brought no reading, so how long that lasts cannot be told.'
  return `At last week’s pace (${readings(pace.weekReadings)}, about ${bytesWords(pace.weekBytes)}) that lasts ${lasting(pace.lastsMs)}, backups not counted.`
}

const yearMs = 365.25 * dayMs

function lasting(ms: DurationMs): string {
  if (ms >= 10 * yearMs) return 'for more than ten years'
  if (ms >= 2 * yearMs) return `for about ${count(Math.floor(ms / yearMs), 'year')}`
  if (ms >= 60 * dayMs) return `for about ${count(Math.floor((ms / yearMs) * 12), 'month')}`
  return ms < dayMs ? 'for less than a day' : `for about ${count(Math.floor(ms / dayMs), 'day')}`
}

/** The headline of the backups. */
export function backupsSay(backups: BackupsTold | null, now: EpochMs): string {
  if (backups === null) return 'No backups are made.'
  const [newest] = backups.items
  if (newest === undefined)
    return backups.making === null ? 'There is no backup yet.' : 'The first backup is being made.'
  if (newest.at > now) return 'The newest backup is from the future: a clock was or is wrong.'
  return `The newest backup is ${ago(newest.at, now).replace(/ ago$/, ' old')}.`
}

export function nextBackupSays(
  { nextAt, waiting, everyHours, keep }: BackupsTold,
  now: EpochMs,
  speech: Pick<Speech, 'timeZone'>,
): string {
  const rule = `One every ${everyHours === 1 ? 'hour' : `${everyHours} h`}; the newest ${keep === 1 ? 'one is' : `${wholeNumber(keep)} are`} kept.`
  if (nextAt === null) return `${waiting ?? ''} ${rule}`.trim()
  return `${rule} The next is due ${nextAt <= now ? 'now' : `at ${moment(nextAt, now, speech)}`}.`
}

export function makingSays(doing: 'copying' | 'checking'): string {
  return sentenceCase(doing === 'copying' ? 'copying everything …' : 'opening the copy and reading all of it …')
}
