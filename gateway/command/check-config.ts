/** `check-config`: whether a gateway could start with these settings. */
import { readConfig } from '../config.ts'
import { exitDone, say, type Verb } from './verb.ts'

export const checkConfig: Verb = {
  name: 'check-config',
  words: '[FLAGS]',
  does: 'says whether the settings can be used',
  run(words) {
    readConfig(words, process.env)
    say('The settings can be used.')
    return exitDone
  },
}
