/** The settings of keeping: what is not set is told, and what would lose a year of readings is refused with the reason. */
import { describe, expect, it } from 'vitest'
import { readConfig, shownConfig } from '../../gateway/config.ts'

describe('settings of keeping', () => {
  it('are by default: no backups, nothing let go', () => {
    const config = readConfig([], {})
    expect(config.backups).toBeUndefined()
    expect(config.keepDays).toBeUndefined()
    expect([config.backupHours, config.backupKeep]).toEqual([24, 7])
    expect(shownConfig(config)).toMatchObject({
      backups: 'not set: none are made',
      keepDays: 'not set: everything is kept',
    })
  })

  it('are read from flags and from the environment', () => {
    const config = readConfig(['--backup-hours', '6', '--keep-days=500'], {
      CIREWATCH_BACKUPS: 'copies',
      CIREWATCH_BACKUP_KEEP: '30',
    })
    expect(config).toMatchObject({ backupHours: 6, backupKeep: 30, keepDays: 500 })
    expect(config.backups).toMatch(/[\\/]copies$/)
  })

  it.each([
    ['--keep-days', '30', /at least|from 400/],
    ['--keep-days', 'for ever', /whole number/],
    ['--backup-hours', '0', /from 1/],
    ['--backup-keep', '2.5', /whole number/],
  ])('refuse %s %s with the reason', (flag, value, sentence) => {
    expect(() => readConfig([flag, value], {})).toThrow(sentence)
  })

  it('say why readings are kept for more than a year', () => {
    expect(() => readConfig(['--keep-days', '399'], {})).toThrow(/a bad pour is asked about a year later/)
  })
})
