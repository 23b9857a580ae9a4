/** JSON pointers, RFC 6901: a place within a JSON value. */

/** Steps into a value, unescaped in the order that section 4 demands: first ~1, then ~0. */
export function stepsOf(pointer: string): string[] {
  if (pointer === '') return []
  return pointer
    .slice(1)
    .split('/')
    .map((step) => step.replaceAll('~1', '/').replaceAll('~0', '~'))
}

/** Section 4: digits without a leading zero. `-` is the element after the last, which is never there. */
const index = /^(0|[1-9]\d*)$/

/** What stands there; undefined where nothing does. */
export function at(json: unknown, steps: readonly string[]): unknown {
  let here = json
  for (const step of steps) {
    if (typeof here !== 'object' || here === null) return undefined
    if (Array.isArray(here)) here = index.test(step) ? (here as unknown[])[Number(step)] : undefined
    else here = Object.hasOwn(here, step) ? (here as Record<string, unknown>)[step] : undefined
  }
  return here
}

/** The inverse of `stepsOf`. */
export function pointerOf(steps: readonly string[]): string {
  return steps.map((step) => `/${step.replaceAll('~', '~0').replaceAll('/', '~1')}`).join('')
}
