/** Clocks: the site's own, and one that is led from outside so that a recorded night can pass in seconds. */
import { performance } from 'node:perf_hooks'
import type { Clock, DurationMs, EpochMs } from '../shared/time.ts'

/** setTimeout fires at once beyond this: longer waits are walked in stages. */
const timeoutMsMax = 2 ** 31 - 1

function wait(delay: DurationMs, run: () => void): () => void {
  let timer: NodeJS.Timeout
  const walk = (left: DurationMs) => {
    const stage = Math.min(left, timeoutMsMax)
    timer = setTimeout(() => (left > stage ? walk(left - stage) : run()), stage)
  }
  walk(Math.max(0, delay))
  return () => clearTimeout(timer)
}

export function siteClock(): Clock {
  return {
    now: () => Date.now(),
    elapsed: () => performance.now(),
    pace: 1,
    after: wait,
    soon: (run) => void setImmediate(run),
  }
}

interface Due {
  at: EpochMs
  run: () => void
}

/** A clock that stands still until it is led, and then goes on at the pace it was given. Its first lead is a beginning, not a passage. */
export class LedClock implements Clock {
  pace = 0
  #base: EpochMs
  #begun: boolean
  #since = performance.now()
  #due: Due[] = []
  #stopWaiting: () => void = () => {}

  /** Without an instant of its own it begins where it is first led to. */
  constructor(at?: EpochMs) {
    this.#base = at ?? 0
    this.#begun = at !== undefined
  }

  now(): EpochMs {
    return Math.round(this.#base + this.pace * (performance.now() - this.#since))
  }

  elapsed(): DurationMs {
    return this.now()
  }

  after(delay: DurationMs, run: () => void): () => void {
    const due = { at: this.now() + Math.max(0, delay), run }
    const place = this.#due.findLastIndex((d) => d.at <= due.at) + 1
    this.#due.splice(place, 0, due)
    if (place === 0) this.#arm()
    return () => {
      this.#due = this.#due.filter((d) => d !== due)
    }
  }

  soon(run: () => void): void {
    setImmediate(run)
  }

  /** Walks to `at`, doing on the way whatever falls due, and goes on from there at `pace`. `settle` lets each thing end before the next. */
  async lead(at: EpochMs, pace: number, settle: () => Promise<void>): Promise<void> {
    this.#stopWaiting()
    if (!this.#begun) this.#beginAt(at)
    this.#set(Math.min(this.now(), at), 0)
    for (let due = this.#due[0]; due && due.at <= at; due = this.#due[0]) {
      this.#due.shift()
      this.#set(Math.max(this.#base, due.at), 0)
      due.run()
      await settle()
    }
    await settle()
    this.#set(at, pace)
    this.#arm()
  }

  /** Nothing happened before: what waits, waits from now. */
  #beginAt(at: EpochMs): void {
    for (const due of this.#due) due.at += at - this.#base
    this.#base = at
    this.#begun = true
  }

  #set(at: EpochMs, pace: number): void {
    this.#base = at
    this.#since = performance.now()
    this.pace = pace
  }

  #arm(): void {
    this.#stopWaiting()
    const first = this.#due[0]
    if (!first || this.pace === 0) return
    this.#stopWaiting = wait((first.at - this.now()) / this.pace, () => {
      const now = this.now()
      while (this.#due[0] && this.#due[0].at <= now) this.#due.shift()?.run()
      this.#arm()
    })
  }
}
