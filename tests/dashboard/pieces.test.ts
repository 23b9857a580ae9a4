/** Reading while somebody moves: how often is asked, what is given up, and that an older answer never follows a newer one. */
import { describe, expect, it } from 'vitest'
import { endOf, panned, type View, zoomed } from '../../dashboard/chart/grid.ts'
import { Pieces } from '../../dashboard/feed/pieces.ts'

interface Question {
  window: View
  signal: AbortSignal
  answer(): Promise<void>
  fail(): Promise<void>
}

/** A reader whose clock and whose answers the test leads. */
function reader() {
  let nowMs = 1_000
  let timers: { at: number; run: () => void }[] = []
  const questions: Question[] = []
  const troubles: unknown[] = []
  let drawn = 0
  const pieces = new Pieces({
    ask: (window, signal) =>
      new Promise((resolve, reject) => {
        const settled = async (what: () => void) => {
          what()
          await new Promise((done) => setImmediate(done))
        }
        questions.push({
          window,
          signal,
          answer: () => settled(() => resolve(new Map())),
          fail: () => settled(() => reject(new Error('no answer'))),
        })
      }),
    steadyMs: () => nowMs,
    now: () => 2_000_000_000,
    after: (delayMs, run) => {
      const timer = { at: nowMs + delayMs, run }
      timers.push(timer)
      return () => (timers = timers.filter((one) => one !== timer))
    },
    limits: () => ({ from: 0, to: 2_000_000_000 }),
    changed: () => drawn++,
    troubled: (error) => troubles.push(error),
  })
  return {
    pieces,
    questions,
    troubles,
    drawn: () => drawn,
    pass(ms: number) {
      nowMs += ms
      const due = timers.filter((one) => one.at <= nowMs)
      timers = timers.filter((one) => one.at > nowMs)
      for (const one of due) one.run()
    },
  }
}
const view: View = { from: 1_000_000, step: 1_000, width: 500 }

describe('reading for a moving view', () => {
  it('asks first for exactly what is looked at, then for as much on either side', async () => {
    const { pieces, questions, pass } = reader()
    pieces.want(view)
    expect(questions.map((q) => [q.window.from, endOf(q.window)])).toEqual([[view.from, endOf(view)]])
    await questions[0]?.answer()
    pass(120)
    expect(questions.slice(1).map((q) => [q.window.from, endOf(q.window)])).toEqual([[500_000, 2_000_000]])
    await questions[1]?.answer()
    pass(10_000)
    expect(questions).toHaveLength(2)
  })
  it('asks nothing while one pans within what is in hand, and soon when one nears its end', async () => {
    const { pieces, questions, pass } = reader()
    pieces.want(view)
    await questions[0]?.answer()
    pass(120)
    await questions[1]?.answer()
    for (let k = 1; k <= 240; k++) pieces.want(panned(view, k))
    pass(1_000)
    expect(questions).toHaveLength(2)
    pieces.want(panned(view, 260))
    expect(questions).toHaveLength(3)
    // The columns are the same ones.
    expect(Math.abs((questions[2]?.window.from ?? 1) - view.from) % view.step).toBe(0)
  })
  it('does not ask oftener than every 120 ms, and gives up what the viewer has left', () => {
    const { pieces, questions, pass } = reader()
    for (let k = 0; k < 60; k++) {
      pieces.want(zoomed(view, 0.98 ** k, 250))
      pass(16)
    }
    expect(questions.length).toBeLessThanOrEqual((60 * 16) / 120 + 1)
    expect(questions.length).toBeGreaterThan(4)
    expect(questions.slice(0, -1).every((q) => q.signal.aborted)).toBe(true)
    expect(questions.at(-1)?.signal.aborted).toBe(false)
  })
  it('waits for an answer that still holds the view instead of asking again', () => {
    const { pieces, questions, pass } = reader()
    pieces.want(view)
    pass(500)
    pieces.want(view)
    expect(questions).toHaveLength(1)
  })
  it('never shows an older answer after a newer one', async () => {
    const { pieces, questions, pass, drawn } = reader()
    pieces.want(view)
    pass(200)
    pieces.want(zoomed(view, 0.5, 250))
    expect(questions).toHaveLength(2)
    await questions[1]?.answer()
    expect(drawn()).toBe(1)
    await questions[0]?.answer()
    expect(drawn()).toBe(1)
    expect(pieces.held.layers(view).every((layer) => layer.piece.step === 500)).toBe(true)
  })
  it('says that the gateway did not answer, waits, tries again by itself, and takes the word back', async () => {
    const { pieces, questions, troubles, pass } = reader()
    pieces.want(view)
    await questions[0]?.fail()
    expect(String(troubles[0])).toContain('no answer')
    pass(1_000)
    expect(questions).toHaveLength(1)
    pass(3_000)
    expect(questions).toHaveLength(2)
    await questions[1]?.answer()
    expect(troubles.at(-1)).toBeNull()
  })
  it('asks nobody any more once the page is left', async () => {
    const { pieces, questions, pass, drawn } = reader()
    pieces.want(view)
    pieces.stop()
    expect(questions[0]?.signal.aborted).toBe(true)
    await questions[0]?.answer()
    pass(10_000)
    expect(questions).toHaveLength(1)
    expect(drawn()).toBe(0)
  })
})
