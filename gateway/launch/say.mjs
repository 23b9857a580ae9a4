/** How the launcher speaks: calm sentences on stderr, so that stdout belongs to the program that was asked for. */

/** Something that a person can put right: told in one sentence, without a stack trace. */
export class Trouble extends Error {
  /**
   * @param {string} sentence
   * @param {number} exitCode 1 when something failed, 2 when the command was not understood
   */
  constructor(sentence, exitCode = 1) {
    super(sentence)
    this.exitCode = exitCode
  }
}

/** @param {string} sentence */
export function say(sentence) {
  process.stderr.write(`${sentence}\n`)
}

/**
 * Tells what went wrong and remembers the exit code; the process ends by itself.
 * @param {unknown} error
 */
export function confess(error) {
  if (error instanceof Trouble) {
    say(error.message)
    process.exitCode = error.exitCode
    return
  }
  const reason = error instanceof Error ? error.message : String(error)
  say(`Cirewatch could not start: ${reason.split('\n')[0]}`)
  process.exitCode = 1
}
