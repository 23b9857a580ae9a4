/** What a verb of the command line is: its name, how it is written, what it does, and how it ends. */

/** Exit codes of INTERFACE: 0 done, 1 crash, damage found or mail not taken, 2 usage, 78 bad configuration (EX_CONFIG of sysexits.h). */
export const exitDone = 0
export const exitDamaged = 1
export const exitNotTaken = 1
export const exitUsage = 2
export const exitConfig = 78

export interface Verb {
  name: string
  /** What is written behind the name, for the usage. */
  words: string
  /** One line for the usage. */
  does: string
  /** Does it with the words behind the name; resolves with the exit code. */
  run(words: readonly string[]): number | Promise<number>
}

/** One line of what was asked for. */
export function say(text: string): void {
  process.stdout.write(`${text}\n`)
}

/** One line about it: complaints and progress. */
export function tell(text: string): void {
  process.stderr.write(`${text}\n`)
}

/** Words that cannot be understood; the message is one sentence for a person. */
export class UsageRefusal extends Error {
  override readonly name = 'UsageRefusal'
}
