/** Chance from a seed: the same seed gives the same scene on every machine and in every year. */

/** A whole number made of a text, so that a scene's name is its seed. */
export function seedOf(text: string): number {
  let mixed = 0x2b5f_19a7
  for (let i = 0; i < text.length; i++) {
    mixed = Math.imul(mixed ^ text.charCodeAt(i), 0x01b3_5ea1)
    mixed ^= mixed >>> 15
  }
  return mixed >>> 0
}

export class Chance {
  #state: number
  #spare = Number.NaN

  constructor(seed: number | string) {
    this.#state = (typeof seed === 'number' ? seed : seedOf(seed)) | 0
    for (let i = 0; i < 4; i++) this.next()
  }

  /** Evenly from 0 up to, but not, 1: a count in golden steps, its bits stirred twice. */
  next(): number {
    this.#state = (this.#state + 0x9e37_79b9) | 0
    let z = this.#state
    z = Math.imul(z ^ (z >>> 16), 0x85eb_ca6b)
    z = Math.imul(z ^ (z >>> 13), 0xc2b2_ae35)
    return ((z ^ (z >>> 16)) >>> 0) / 4_294_967_296
  }

  between(from: number, to: number): number {
    return from + (to - from) * this.next()
  }

  /** As often between 1 and 2 as between 10 and 20. */
  scaled(from: number, to: number): number {
    return from * (to / from) ** this.next()
  }

  whole(from: number, to: number): number {
    return from + Math.floor(this.next() * (to - from + 1))
  }

  often(share: number): boolean {
    return this.next() < share
  }

  pick<T>(from: readonly T[]): T {
    return from[Math.floor(this.next() * from.length)] as T
  }

  /** Of the normal distribution, mean 0, deviation 1 (polar method). */
  normal(): number {
    if (!Number.isNaN(this.#spare)) {
      const spare = this.#spare
      this.#spare = Number.NaN
      return spare
    }
    for (;;) {
      const x = 2 * this.next() - 1
      const y = 2 * this.next() - 1
      const r = x * x + y * y
      if (r > 0 && r < 1) {
        const stretch = Math.sqrt((-2 * Math.log(r)) / r)
        this.#spare = y * stretch
        return x * stretch
      }
    }
  }

  /** Normal, but never further out than `most`. */
  near(deviation: number, most: number): number {
    return Math.max(-most, Math.min(most, this.normal() * deviation))
  }
}
