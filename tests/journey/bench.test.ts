/** The bench display in a real browser on a real gateway: a whole textured coating marked from the keyboard, cues seen and heard, nobody kept out. */
import { AxeBuilder } from '@axe-core/playwright'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest'
import type { Foundry, Run } from '../../shared/contract/index.ts'
import { middleC, potAt, potFor, stepWaxPot } from '../../simulators/bodies/wax-pot.ts'
import { look, openBrowser } from '../helpers/browser.ts'
import { smallFoundry, startGateway, type TestGateway } from '../helpers/gateway.ts'

let browser: Browser
beforeAll(async () => {
  browser = await openBrowser()
})
afterAll(() => browser.close())

const begun = Date.parse('2026-03-03T08:00:00Z')
const wait = { earliestMinutes: 1, latestMinutes: 90 }
const coats = [
  { id: 'detail', name: 'Detail coat', window: { fromC: 104, toC: 110 } },
  { id: 'build-1', name: 'First build coat', window: { fromC: 94, toC: 98 }, wait },
  { id: 'build-2', name: 'Second build coat', window: { fromC: 87, toC: 90 }, wait },
  { id: 'build-3', name: 'Third build coat', window: { fromC: 81, toC: 84 }, texturedOnly: true, wait },
  { id: 'slush', name: 'Slush pour', window: { fromC: 74, toC: 78 }, slush: true, wait },
]

function foundry(): Foundry {
  const small = smallFoundry()
  return {
    ...small,
    stations: small.stations.map((s) =>
      s.id === 'pot' ? { ...s, limits: [], pot: { recipe: 'figure', waxKg: 1.5 } } : s,
    ),
    recipes: [
      {
        kind: 'wax',
        id: 'figure',
        name: 'Figure wax',
        revision: 1,
        coats,
        floorC: 72,
        ceilingC: 150,
        congealing: { fromC: 57, toC: 66 },
      },
    ],
  }
}

/** A small pot that was switched off, ten seconds at a time, told over MQTT. */
class Cooling {
  readonly #g: TestGateway
  readonly #pot = potFor(1.5, 250)
  #state = potAt(this.#pot, 113)
  at = begun
  constructor(g: TestGateway) {
    this.#g = g
  }
  get waxC(): number {
    return middleC(this.#pot, this.#state)
  }
  async go(seconds: number): Promise<void> {
    const controls = {
      on: false,
      setPointC: 112,
      lidOn: false,
      stirred: false,
      ambientC: 21,
      mains: true,
      welded: false,
    }
    for (let s = 0; s < seconds; s += 10) {
      for (let i = 0; i < 5; i++) this.#state = stepWaxPot(this.#pot, this.#state, controls, 2)
      this.at += 10_000
      await this.#g.lead(this.at)
      await this.#g.publish('pot-mid', { at: this.at, celsius: Math.round(this.waxC * 10) / 10 })
    }
  }
}

const progress = async (g: TestGateway, id: string) => {
  const { open } = (await g.ask<{ open: Run | null }>(`/api/v1/runs/${id}`)).body
  if (open?.progress.kind !== 'coating') throw new Error('The coating is not open.')
  return open.progress
}

async function bench(screen: 'wall' | 'phone' = 'wall', scheme: 'light' | 'dark' = 'light') {
  const g = await startGateway({ at: begun, foundry: foundry() })
  const wax = new Cooling(g)
  await wax.go(120)
  const { page, complaints } = await look(browser, `${g.http}/bench/pot`, { screen, scheme })
  onTestFinished(() => page.close())
  return { g, wax, page, complaints }
}

/** The gateway's clock is led: what was begun is told with its next step. */
async function begins(wax: Cooling, page: Page): Promise<void> {
  await page.waitForTimeout(150)
  await wax.go(10)
  await page.getByRole('button', { name: /Detail coat is on/ }).waitFor()
}

/** What the page says now, once it has heard of the last reading. */
async function headline(page: Page): Promise<string> {
  await page.waitForTimeout(120)
  return (await page.getByRole('heading', { level: 1 }).textContent()) ?? ''
}

describe('the bench display', () => {
  it('leads a whole textured coating from the keyboard: no window is called open that is shut, none shut that is open', async () => {
    const { g, wax, page, complaints } = await bench()
    // Nobody types: the start is a button that the keyboard reaches.
    await page.getByRole('button', { name: 'Start a textured pattern' }).focus()
    await page.keyboard.press('Enter')
    await begins(wax, page)
    await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur())
    const run = (await g.ask<{ items: { id: string }[] }>('/api/v1/runs')).body.items[0]?.id ?? ''
    let told = 0
    for (let minutes = 0; minutes < 150 && (await progress(g, run)).next !== null; minutes++) {
      await wax.go(60)
      const said = await headline(page)
      const next = coats[(await progress(g, run)).done.length]
      if (!next) break
      const isIn = wax.waxC > next.window.fromC + 0.3 && wax.waxC < next.window.toC - 0.3
      const isOut = wax.waxC < next.window.fromC - 0.3 || wax.waxC > next.window.toC + 0.3
      if (isIn) expect(said).toContain(`${next.name} may go on now`)
      if (isOut) expect(said).not.toContain('may go on now')
      if (/opens in \d+ min/.test(said)) told++
      if (!isIn) continue
      // Between two readings: at one instant nobody could say which of reading and mark came first.
      await g.lead(wax.at + 4_000)
      // Within three seconds of the last press it would be the same one.
      await page.waitForTimeout(3_100)
      await page.keyboard.press(minutes % 2 === 0 ? ' ' : 'Enter')
      await page.waitForTimeout(150)
      await wax.go(10)
      await page.getByRole('status').getByText(next.name).waitFor()
    }
    expect(told).toBeGreaterThan(10)
    const done = (await progress(g, run)).done
    expect(done.map((d) => [d.coat, d.inWindow, d.pot, d.waitKept])).toEqual(
      coats.map((c, i) => [c.id, true, 'pot', i === 0 ? null : 'kept']),
    )
    const { body } = await g.ask<{ run: Run }>(`/api/v1/runs/${run}/record`)
    expect(body.run.progress.kind === 'coating' && body.run.progress.done).toEqual(done)
    expect(complaints).toEqual([])
  }, 240_000)

  it('counts a key that is held or pressed twice once, tells kindly what was too hot, and takes it back', async () => {
    const { g, wax, page } = await bench()
    await page.getByRole('button', { name: 'Start a smooth pattern' }).click()
    await begins(wax, page)
    await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur())
    await page.keyboard.press(' ')
    await page.keyboard.press(' ')
    await page.waitForTimeout(150)
    await wax.go(10)
    await page
      .getByRole('status')
      .getByText(/above its window \(110 °C\)\. Look at it before the next one\./)
      .waitFor()
    const run = (await g.ask<{ items: { id: string }[] }>('/api/v1/runs')).body.items[0]?.id ?? ''
    expect((await progress(g, run)).done).toHaveLength(1)
    expect((await progress(g, run)).asked).toEqual(['detail', 'build-1', 'build-2', 'slush'])
    await page.keyboard.press('Backspace')
    await page.waitForTimeout(150)
    await wax.go(10)
    await page.getByRole('button', { name: /Detail coat is on/ }).waitFor()
    expect((await progress(g, run)).done).toHaveLength(0)
  }, 60_000)

  it('says and sounds what changes only where that is wanted, and never without its words on the page', async () => {
    const { wax, page } = await bench()
    await page.evaluate(() => {
      const heard: string[] = []
      Object.assign(globalThis, { heard })
      speechSynthesis.speak = (words) => void heard.push(words.text)
      AudioContext.prototype.createOscillator = new Proxy(AudioContext.prototype.createOscillator, {
        apply: (make, self) => {
          heard.push('tone')
          return Reflect.apply(make, self, []) as OscillatorNode
        },
      })
    })
    const heard = () => page.evaluate(() => (globalThis as unknown as { heard: string[] }).heard)
    await page.getByRole('button', { name: 'Start a textured pattern' }).click()
    await page.getByRole('button', { name: 'Voice off' }).click()
    await page.getByRole('button', { name: 'Tones off' }).click()
    expect(await heard()).toEqual([])
    for (let i = 0; i < 30 && !(await headline(page)).includes('may go on now'); i++) await wax.go(30)
    await page.getByText(/^Said: Detail coat may go on now/).waitFor()
    expect((await heard()).filter((word) => word.startsWith('Detail coat may go on now'))).toHaveLength(1)
    expect((await heard()).filter((word) => word === 'tone').length).toBeGreaterThanOrEqual(2)
  }, 90_000)

  it('is for all eyes and hands: its sentence a twentieth of the screen, its button a palm wide, nothing against WCAG', async () => {
    for (const [screen, scheme] of [
      ['wall', 'light'],
      ['phone', 'dark'],
    ] as const) {
      const { page } = await bench(screen, scheme)
      await page.getByRole('button', { name: 'Start a textured pattern' }).waitFor()
      const sentence = await page
        .getByRole('heading', { level: 1 })
        .evaluate((h) => Number.parseFloat(getComputedStyle(h).fontSize))
      expect(sentence).toBeGreaterThanOrEqual((page.viewportSize()?.height ?? 0) / 20)
      const button = await page.getByRole('button', { name: 'Start a textured pattern' }).boundingBox()
      expect(button?.height).toBeGreaterThanOrEqual(96)
      expect(
        (
          await new AxeBuilder({ page })
            .setLegacyMode(true)
            .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
            .analyze()
        ).violations.map((v) => `${v.id}: ${v.nodes[0]?.html ?? ''}`),
      ).toEqual([])
    }
  }, 60_000)
})
