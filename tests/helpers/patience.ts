/** Waiting until something is so, and saying what never became so. */
import { setTimeout as pause } from 'node:timers/promises'

export { pause }

/** Asks again and again until it is true; fails with the sentence after so many seconds. */
export async function until(what: string, so: () => boolean | Promise<boolean>, seconds = 15): Promise<void> {
  for (let tries = 0; tries < seconds * 50; tries++) {
    if (await so()) return
    await pause(20)
  }
  throw new Error(`After ${seconds} s it was still not so that ${what}.`)
}
