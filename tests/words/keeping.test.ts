/** What is kept, in sentences that promise no more than is known. */
import { describe, expect, it } from 'vitest'
import type { BackupsTold, Held, Retention } from '../../shared/contract/index.ts'
import { dayMs, hourMs } from '../../shared/time.ts'
import {
  backupsSay,
  bytesWords,
  heldSays,
  letGoSays,
  nextBackupSays,
  paceSays,
  retentionSays,
  sizeSays,
} from '../../shared/words/index.ts'

const speech = { timeZone: 'Europe/London' }
const now = Date.UTC(2026, 10, 25, 12)
const held: Held = {
  readings: 12_345_678,
  series: 64,
  since: Date.UTC(2025, 2, 3, 10),
  bytes: 31_000_000,
  sealedReadings: 10_000_000,
  sealedBytes: 24_000_000,
}
const backups: BackupsTold = {
  folder: '/copies',
  everyHours: 24,
  keep: 7,
  items: [{ name: 'a', at: now - 3 * hourMs, bytes: 31_000_000 }],
  making: null,
  nextAt: now + 21 * hourMs,
  waiting: null,
  trouble: null,
}
const retention: Retention = { keepDays: null, letGo: 0, times: [], trouble: null }

describe('what is kept', () => {
  it('is told with its count, its series, since when, and what it takes', () => {
    expect(heldSays(held, speech)).toBe('12,345,678 readings of 64 series since 3 March 2025.')
    expect(heldSays({ ...held, readings: 1, series: 1 }, speech)).toBe('1 reading of one series since 3 March 2025.')
    expect(heldSays({ ...held, readings: 0, series: 0, since: null }, speech)).toContain('Nothing is kept yet')
    expect(sizeSays(held)).toBe('They take 31 MB on the disk. A reading of a finished hour takes 2.4 bytes.')
    expect(sizeSays({ ...held, bytes: null })).toBeNull()
  })

  it('is told in sizes that fit their number', () => {
    expect([0, 999, 1_000, 1_234, 999_600, 31_000_000, 9_949_000_000, 250_000_000_000].map(bytesWords)).toEqual([
      '0 bytes',
      '999 bytes',
      '1 kB',
      '1.2 kB',
      '1 MB',
      '31 MB',
      '9.9 GB',
      '250 GB',
    ])
  })

  it('never hides what was let go', () => {
    expect(letGoSays(retention, speech)).toBe('Nothing has been let go.')
    const times = [{ at: now, before: Date.UTC(2025, 0, 1), readings: 1_000 }]
    expect(letGoSays({ ...retention, letGo: 1_500, times }, speech)).toBe(
      '1,500 readings measured before 1 January 2025 have been let go.',
    )
    expect(retentionSays({ keepDays: null })).toContain('kept for ever')
    expect(retentionSays({ keepDays: 500 })).toContain('kept for 500 days')
  })
})

describe('how long the disk lasts', () => {
  it('is not told where there is no week to tell it by', () => {
    expect(paceSays(null)).toContain('not known yet')
    expect(paceSays({ weekReadings: 0, weekBytes: 0, lastsMs: null })).toContain('cannot be told')
  })

  it.each([
    [4_000, 'for more than ten years'],
    [3.5 * 365.25, 'for about three years'],
    [200, 'for about six months'],
    [9.9, 'for about nine days'],
    [0.5, 'for less than a day'],
  ])('at %d days is said as people say it', (days, words) => {
    expect(paceSays({ weekReadings: 100, weekBytes: 240, lastsMs: days * dayMs })).toContain(words)
  })
})

describe('the backups', () => {
  it('are told with the age of the newest and the moment of the next', () => {
    expect(backupsSay(backups, now)).toBe('The newest backup is 3 h old.')
    expect(nextBackupSays(backups, now, speech)).toBe(
      'One every 24 h; the newest 7 are kept. The next is due at Thu 26 Nov 09:00.',
    )
  })

  it('are said to be none where there are none, and never called fresh by a wrong clock', () => {
    expect(backupsSay(null, now)).toBe('No backups are made.')
    expect(backupsSay({ ...backups, items: [] }, now)).toBe('There is no backup yet.')
    expect(backupsSay({ ...backups, items: [{ name: 'b', at: now + dayMs, bytes: 1 }] }, now)).toContain('future')
    expect(nextBackupSays({ ...backups, nextAt: null, waiting: 'Why not.' }, now, speech)).toMatch(
      /^Why not\. One every/,
    )
  })
})
