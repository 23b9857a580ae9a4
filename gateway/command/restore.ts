/** `restore`: puts a backup in the place of the database, never over one that is there without being told. */
import { siteClock } from '../clock.ts'
import { restore } from '../store/sqlite/keeping/restore.ts'
import { databaseIn, settingsOf } from './place.ts'
import { progressOver, progressTeller } from './progress.ts'
import { exitDone, say, UsageRefusal, type Verb } from './verb.ts'
import { readWords } from './words.ts'

export const restoreVerb: Verb = {
  name: 'restore',
  words: 'FILE [--over] [--data DIR]',
  does: 'checks a backup and puts it in place; --over keeps the database that is there under a dated name',
  run(words) {
    const { values, positionals } = readWords(restoreVerb, words, {
      over: { type: 'boolean' },
      data: { type: 'string' },
      config: { type: 'string' },
    })
    const [backup] = positionals
    if (backup === undefined) throw new UsageRefusal('restore needs the FILE of the backup.')
    const target = databaseIn(settingsOf(values).data)
    const ask = { backup, target, over: values.over ?? false, at: siteClock().now() }
    const { proof, kept } = restore(ask, { progress: progressTeller() })
    progressOver()
    say(`Restored ${target}: ${proof.readings} readings of ${proof.series.length} series. Start the gateway.`)
    if (kept !== null) say(`What was there before is kept as ${kept}.`)
    return exitDone
  },
}
