/** Chance with a seed: the same seed gives the same night. */

export interface Chance {
  /** Evenly spread over 0 ≤ x < 1. */
  next(): number
  /** Normally distributed with mean 0 and standard deviation 1. */
  gauss(): number
  /** A stream of its own, so that one more draw here changes nothing there. */
  branch(name: string): Chance
}

/** Spreads any text over 32 bits (FNV-1a, a published hash in the public domain). */
function hashOf(text: string): number {
  let hash = 0x811c9dc5
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193)
  return hash >>> 0
}

/** Small fast counting generator: 96 bits of state and a counter, so that no seed falls into a short cycle. */
export function chance(seed: number, stream = ''): Chance {
  let a = hashOf(`${seed}/${stream}/a`) | 0
  let b = hashOf(`${seed}/${stream}/b`) | 0
  let c = hashOf(`${seed}/${stream}/c`) | 0
  let counter = 1
  let spare: number | null = null

  const next = (): number => {
    const sum = (((a + b) | 0) + counter) | 0
    counter = (counter + 1) | 0
    a = b ^ (b >>> 9)
    b = (c + (c << 3)) | 0
    c = (((c << 21) | (c >>> 11)) + sum) | 0
    return (sum >>> 0) / 4_294_967_296
  }
  for (let i = 0; i < 12; i++) next()

  /** Two independent normal values from two even ones (Box and Muller 1958); the second waits for the next call. */
  const gauss = (): number => {
    if (spare !== null) {
      const value = spare
      spare = null
      return value
    }
    const radius = Math.sqrt(-2 * Math.log(1 - next()))
    const angle = 2 * Math.PI * next()
    spare = radius * Math.sin(angle)
    return radius * Math.cos(angle)
  }
  return { next, gauss, branch: (name) => chance(seed, `${stream}/${name}`) }
}
