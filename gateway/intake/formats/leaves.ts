/** The plain values within a JSON message, each with the way to it: what a mapping could point to. */

export interface Leaf {
  steps: readonly string[]
  value: string | number | boolean
}

/** Deeper than this nobody hides a reading. */
const depthMax = 6
/** So many are looked at; a message with more is no reading of an instrument. */
const leavesMax = 200

/** Plain values in the order in which they stand; lists are not entered, but for those that hold nothing but plain values. */
export function leavesOf(json: unknown): Leaf[] {
  const leaves: Leaf[] = []
  const walk = (value: unknown, steps: readonly string[]): void => {
    if (leaves.length >= leavesMax || steps.length > depthMax) return
    if (typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean')
      leaves.push({ steps, value })
    else if (typeof value === 'object' && value !== null)
      for (const [key, inner] of Object.entries(value))
        if (!Array.isArray(value) || typeof inner !== 'object') walk(inner, [...steps, key])
  }
  walk(json, [])
  return leaves
}

/** Where a list of objects stands, a backlog perhaps: the first one found, and its newest element. */
export function listIn(json: unknown): { steps: readonly string[]; element: object } | null {
  const look = (value: unknown, steps: readonly string[]): { steps: readonly string[]; element: object } | null => {
    if (typeof value !== 'object' || value === null || steps.length > 2) return null
    if (Array.isArray(value)) {
      const last = (value as unknown[]).at(-1)
      return typeof last === 'object' && last !== null && !Array.isArray(last) ? { steps, element: last } : null
    }
    for (const [key, inner] of Object.entries(value)) {
      const found = look(inner, [...steps, key])
      if (found) return found
    }
    return null
  }
  return look(json, [])
}
