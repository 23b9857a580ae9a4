/** Reads `--flag value` from the command line: known flags only, one sentence where something is wrong. */

export class UsageFault extends Error {}

export function flagsOf<K extends string>(args: readonly string[], known: readonly K[]): Partial<Record<K, string>> {
  const found: Partial<Record<K, string>> = {}
  for (let i = 0; i < args.length; i++) {
    const [flag = '', inline] = (args[i] ?? '').split(/=(.*)/s, 2)
    const name = known.find((k) => flag === `--${k}`)
    if (name === undefined)
      throw new UsageFault(`There is no ${flag}; known are ${known.map((k) => `--${k}`).join(', ')}.`)
    const value = inline ?? args[++i]
    if (value === undefined || value === '') throw new UsageFault(`${flag} needs a value.`)
    found[name] = value
  }
  return found
}

export function numberFlag(
  name: string,
  text: string | undefined,
  otherwise: number,
  min: number,
  max: number,
): number {
  if (text === undefined) return otherwise
  const value = Number(text)
  if (!(value >= min && value <= max))
    throw new UsageFault(`--${name} must be a number from ${min} to ${max}; it is ${text}.`)
  return value
}

/** Faster than this, one missed turn of the event loop already looks like a silent instrument. */
export const paceMax = 120
