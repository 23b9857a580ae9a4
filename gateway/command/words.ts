/** Reads the words behind a verb: flags and what stands beside them, with one sentence for what cannot be understood. */
import { parseArgs, type ParseArgsConfig } from 'node:util'
import { UsageRefusal, type Verb } from './verb.ts'

type Flags = NonNullable<ParseArgsConfig['options']>

export function readWords<F extends Flags>(verb: Pick<Verb, 'name' | 'words'>, words: readonly string[], options: F) {
  try {
    return parseArgs({ args: [...words], options, allowPositionals: true, strict: true })
  } catch (error) {
    const reason = error instanceof Error ? (error.message.split('. ')[0] ?? '').replace(/\.$/, '') : String(error)
    throw new UsageRefusal(`${reason}. It is written: ${verb.name} ${verb.words}`)
  }
}
