/** `backup`: a verified copy of the database, taken beside a running gateway. */
import { resolve } from 'node:path'
import { siteClock } from '../clock.ts'
import { backUp } from '../store/sqlite/keeping/backup.ts'
import { databaseIn, settingsOf } from './place.ts'
import { progressOver, progressTeller } from './progress.ts'
import { exitDone, say, UsageRefusal, type Verb } from './verb.ts'
import { readWords } from './words.ts'

export const backupVerb: Verb = {
  name: 'backup',
  words: '[--to DIR] [--data DIR]',
  does: 'makes a verified copy now, beside a running gateway too; DIR is else the setting `backups`',
  run(words) {
    const { values } = readWords(backupVerb, words, {
      to: { type: 'string' },
      data: { type: 'string' },
      config: { type: 'string' },
    })
    const settings = settingsOf(values)
    const folder = values.to ?? settings.backups
    if (folder === undefined)
      throw new UsageRefusal('backup needs to know where to: --to DIR, or the setting `backups` (CIREWATCH_BACKUPS).')
    const ask = { source: databaseIn(settings.data), folder: resolve(folder), at: siteClock().now() }
    const done = backUp(ask, { progress: progressTeller() })
    progressOver()
    say(`${resolve(folder, done.name)}`)
    say(`Made and checked: ${done.readings} readings of ${done.series} series, ${done.bytes} bytes.`)
    return exitDone
  },
}
