/** Programs from outside that a test speaks to: found, or missed in one clear sentence; left out only where a person said so. */
import { accessSync, constants } from 'node:fs'
import { delimiter, join } from 'node:path'

export type Outside = 'browser' | 'broker' | 'tracer'

/** For `describe.skipIf(without('browser'))`: true only when CIREWATCH_TEST_WITHOUT names it. */
export function without(what: Outside): boolean {
  return (process.env.CIREWATCH_TEST_WITHOUT ?? '').split(',').some((word) => word.trim() === what)
}

/** Debian keeps servers out of an ordinary person's PATH. */
const folders = [...(process.env.PATH ?? '').split(delimiter), '/usr/sbin', '/usr/local/sbin']

/** The full path of the first of these programs that is there; fails the test with what to install otherwise. */
export function programOf(what: Outside, ...names: [string, ...string[]]): string {
  const found = names.flatMap((name) => folders.map((folder) => join(folder, name))).find(runnable)
  if (found !== undefined) return found
  throw new Error(
    `This test needs ${names[0]}, and it is not installed: install it (on Debian: sudo apt-get install ${packageOf[names[0]] ?? names[0]}), ` +
      `or leave out what needs it with CIREWATCH_TEST_WITHOUT=${what}.`,
  )
}

const packageOf: Record<string, string> = { mosquitto_pub: 'mosquitto-clients', mosquitto_sub: 'mosquitto-clients' }

function runnable(file: string): boolean {
  try {
    accessSync(file, constants.X_OK)
    return true
  } catch {
    return false
  }
}
