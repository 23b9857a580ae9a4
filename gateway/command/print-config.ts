/** `print-config`: the settings as they come out of defaults, file, environment and flags. */
import { readConfig, shownConfig } from '../config.ts'
import { exitDone, say, type Verb } from './verb.ts'

export const printConfig: Verb = {
  name: 'print-config',
  words: '[FLAGS]',
  does: 'prints the settings as they come out, secrets left out',
  run(words) {
    say(JSON.stringify(shownConfig(readConfig(words, process.env)), null, 2))
    return exitDone
  },
}
