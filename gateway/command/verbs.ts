/** The verbs of the command line in the order in which they are told, and the usage that follows from them. */
import { backupVerb } from './backup.ts'
import { checkConfig } from './check-config.ts'
import { checkFoundry } from './check-foundry.ts'
import { exportVerb } from './export.ts'
import { importVerb } from './import.ts'
import { printConfig } from './print-config.ts'
import { restoreVerb } from './restore.ts'
import { testMailVerb } from './test-mail.ts'
import type { Verb } from './verb.ts'
import { verifyVerb } from './verify.ts'

export const verbs: readonly Verb[] = [
  checkConfig,
  printConfig,
  checkFoundry,
  importVerb,
  exportVerb,
  backupVerb,
  restoreVerb,
  verifyVerb,
  testMailVerb,
]

/** Beside what is short, below what is long. */
const columns = 28

export function usage(): string {
  const lines = verbs.map(({ name, words, does }) => {
    const how = `${name} ${words}`.trim()
    return how.length < columns ? `  ${how.padEnd(columns)}${does}` : `  ${how}\n  ${' '.repeat(columns)}${does}`
  })
  return `Usage: npm run cirewatch -- VERB\n${lines.join('\n')}\n`
}
