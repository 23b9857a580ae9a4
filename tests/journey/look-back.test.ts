/** Looking back in a real browser: any span opens, is moved by hand and by keys, and the spike of last spring is found in three years. */
import { join } from 'node:path'
import { AxeBuilder } from '@axe-core/playwright'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest'
import { dayMs, hourMs } from '../../shared/time.ts'
import { look, openBrowser, type screens } from '../helpers/browser.ts'
import { fakeNow } from '../helpers/fake-foundry.ts'
import { type FakeGateway, fakeGateway } from '../helpers/fake-gateway.ts'
import { fakeSpike } from '../helpers/fake-past.ts'
import { smallFoundry, startGateway } from '../helpers/gateway.ts'

let browser: Browser
let gateway: FakeGateway
const dashboard = join(import.meta.dirname, '../../build/dashboard')

beforeAll(async () => {
  browser = await openBrowser()
  gateway = await fakeGateway(dashboard)
})
afterAll(async () => {
  await browser.close()
  await gateway.close()
})

async function opened(path: string, on: Parameters<typeof look>[2] = { screen: 'laptop' }) {
  const looked = await look(browser, gateway.url + path, on)
  onTestFinished(() => looked.page.close())
  await looked.page.getByRole('heading', { level: 1, name: /between|not seen|stayed/ }).waitFor()
  return looked
}

function spanOf(page: Page): { from: number; to: number; lengthMs: number } {
  const told = new URL(page.url()).searchParams
  const [from, to] = [Number(told.get('from')), Number(told.get('to'))]
  return { from, to, lengthMs: to - from }
}
const chartOf = (page: Page) => page.getByRole('application').first()
async function paperOf(page: Page) {
  const box = await page.locator('.u-over').first().boundingBox()
  if (!box) throw new Error('no paper')
  return { ...box, middle: box.y + box.height / 2, at: (part: number) => box.x + part * box.width }
}
const year = `/look-back?series=${fakeSpike.series}&from=${fakeNow - 365 * dayMs}&to=${fakeNow}`

/** What is drawn on the first chart, as numbers of pixels in each column that differ from the paper. */
function inked(page: Page): Promise<number> {
  return page.evaluate(() => {
    const canvas = document.querySelector('canvas') as HTMLCanvasElement
    const ctx = canvas.getContext('2d') as CanvasRenderingContext2D
    const { data } = ctx.getImageData(0, 0, canvas.width, canvas.height)
    let dark = 0
    for (let i = 0; i < data.length; i += 4) if (data[i + 3] === 255 && (data[i] as number) < 90) dark++
    return dark
  })
}

describe.each([
  { screen: 'phone', scheme: 'light' },
  { screen: 'laptop', scheme: 'dark' },
  { screen: 'wall', scheme: 'light' },
] as { screen: keyof typeof screens; scheme: 'light' | 'dark' }[])(
  'looking back on a $screen in the $scheme',
  ({ screen, scheme }) => {
    it('is whole, touchable and accessible, with the calendar of three years beneath', async () => {
      const { page, complaints } = await opened('/look-back?station=D1&with=year', { screen, scheme })
      await page.getByRole('heading', { name: '2029' }).waitFor()
      await page.getByRole('grid', { name: 'Days of 2029' }).waitFor()
      expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0)
      const small = await page.evaluate(() =>
        [...document.querySelectorAll('button, nav a, .button, select, summary')]
          .map((e) => ({ box: e.getBoundingClientRect(), text: e.textContent?.trim().slice(0, 30) }))
          .filter(({ box }) => box.width > 0 && (box.height < 47.9 || box.width < 40))
          .map(({ text }) => text),
      )
      expect(small).toEqual([])
      const { violations } = await new AxeBuilder({ page })
        .setLegacyMode(true)
        .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
        .analyze()
      expect(violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(' | ')}`)).toEqual([])
      expect(complaints).toEqual([])
    })
  },
)

describe('looking back', () => {
  it('is reached from the floor and from a station, and begins with what that station measures', async () => {
    const { page, complaints } = await look(browser, `${gateway.url}/station/D1`, { screen: 'laptop' })
    onTestFinished(() => page.close())
    await page.getByRole('link', { name: 'Look back further' }).click()
    await page.getByRole('heading', { level: 1, name: /D1 climate A: between/ }).waitFor()
    await page.getByRole('heading', { name: 'Relative humidity' }).waitFor()
    expect(spanOf(page).lengthMs / dayMs).toBeCloseTo(7, 1)
    await page.goBack()
    await page.getByRole('link', { name: 'Look back further' }).waitFor()
    expect(new URL(page.url()).pathname).toBe('/station/D1')
    expect(complaints).toEqual([])
  })

  it('finds the spike of last spring in a year, goes to it by marking spans, and tells its value and its minute', async () => {
    const { page, complaints } = await opened(year)
    await page.getByText('highest Wed 12 Mar 03:10', { exact: false }).waitFor()
    await page.getByRole('heading', { level: 1, name: /31\.4/ }).waitFor()
    for (let step = 0; step < 3; step++) {
      const { from, lengthMs } = spanOf(page)
      const paper = await paperOf(page)
      const part = (fakeSpike.at - from) / lengthMs
      await page.getByRole('button', { name: 'Mark a span' }).click()
      await page.mouse.move(paper.at(Math.max(0.02, part - 0.06)), paper.middle)
      await page.mouse.down()
      await page.mouse.move(paper.at(part), paper.middle)
      await page.mouse.move(paper.at(part + 0.06), paper.middle)
      await page.mouse.up()
      await expect.poll(() => spanOf(page).lengthMs).toBeLessThan(lengthMs / 5)
    }
    expect(spanOf(page).lengthMs).toBeLessThan(dayMs)
    expect(spanOf(page).from).toBeLessThan(fakeSpike.at)
    expect(spanOf(page).to).toBeGreaterThan(fakeSpike.at)
    await page.getByRole('heading', { level: 1, name: /31\.4/ }).waitFor()
    const paper = await paperOf(page)
    const { from, lengthMs } = spanOf(page)
    await page.mouse.move(paper.at((fakeSpike.at - from) / lengthMs) + 0.5, paper.middle)
    await expect.poll(() => page.locator('.picked').first().textContent()).toContain('31.4 °C')
    // Three marks, three ways back.
    for (let step = 0; step < 3; step++) await page.getByRole('button', { name: 'Back', exact: true }).click()
    await expect.poll(() => Math.round(spanOf(page).lengthMs / dayMs)).toBe(365)
    expect(await page.getByRole('button', { name: 'Back', exact: true }).isDisabled()).toBe(true)
    expect(complaints).toEqual([])
  })

  it('moves by drag as far as the hand moved, on the same columns, and writes where it came to rest', async () => {
    const { page } = await opened(year)
    const before = spanOf(page)
    const paper = await paperOf(page)
    await page.mouse.move(paper.at(0.3), paper.middle)
    await page.mouse.down()
    await page.mouse.move(paper.at(0.5), paper.middle, { steps: 8 })
    await page.mouse.up()
    await expect.poll(() => spanOf(page).from).toBeLessThan(before.from)
    const after = spanOf(page)
    const step = before.lengthMs / Math.round(paper.width)
    expect(after.lengthMs).toBe(before.lengthMs)
    expect(Math.abs((before.from - after.from) / step - 0.2 * paper.width)).toBeLessThanOrEqual(2)
    expect((before.from - after.from) % step).toBe(0)
  })

  it('moves by keys alone: along, closer, wider, to the first and the newest, and back', async () => {
    const { page } = await opened(year)
    const begun = spanOf(page)
    await chartOf(page).focus()
    await page.keyboard.press('ArrowLeft')
    await expect.poll(() => spanOf(page).from).toBeLessThan(begun.from)
    const moved = spanOf(page)
    await page.keyboard.press('+')
    await expect.poll(() => spanOf(page).lengthMs).toBeLessThan(moved.lengthMs * 0.75)
    await page.keyboard.press('Home')
    await expect.poll(() => spanOf(page).from).toBeLessThan(Date.UTC(2029, 1, 2))
    await page.keyboard.press('End')
    await expect.poll(() => Math.abs(spanOf(page).to - fakeNow)).toBeLessThan(2 * dayMs)
    await page.keyboard.press('Escape')
    await expect.poll(() => Math.abs(spanOf(page).lengthMs - begun.lengthMs)).toBeLessThan(dayMs)
  })

  it('lets whoever only scrolls past scroll past, and goes closer by wheel once it was touched', async () => {
    const { page } = await opened(year)
    const begun = spanOf(page)
    const paper = await paperOf(page)
    await page.mouse.move(paper.at(0.5), paper.middle)
    await page.mouse.wheel(0, 120)
    await expect.poll(() => page.evaluate(() => scrollY)).toBeGreaterThan(0)
    expect(spanOf(page).lengthMs).toBe(begun.lengthMs)
    await chartOf(page).focus()
    const now = await paperOf(page)
    await page.mouse.move(now.at(0.5), now.middle)
    await page.mouse.wheel(0, -400)
    await expect.poll(() => spanOf(page).lengthMs).toBeLessThan(begun.lengthMs * 0.8)
    expect(Math.abs((spanOf(page).from + spanOf(page).to) / 2 - (begun.from + begun.to) / 2)).toBeLessThan(
      begun.lengthMs / 100,
    )
  })

  it('goes closer with two fingers', async () => {
    const { page } = await opened(year, { screen: 'phone' })
    const begun = spanOf(page)
    await chartOf(page).scrollIntoViewIfNeeded()
    const paper = await paperOf(page)
    const touch = await page.context().newCDPSession(page)
    const fingers = (left: number, right: number) =>
      [left, right].map((part, id) => ({ x: paper.at(part), y: paper.middle, id }))
    await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: fingers(0.4, 0.6) })
    await touch.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: fingers(0.3, 0.7) })
    await touch.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: fingers(0.2, 0.8) })
    await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] })
    await expect.poll(() => spanOf(page).lengthMs).toBeLessThan(begun.lengthMs * 0.5)
  })

  it('draws while it moves from what it holds, and asks only now and then', async () => {
    const { page } = await opened(year)
    await page.waitForLoadState('networkidle')
    gateway.charts.length = 0
    const paper = await paperOf(page)
    await page.mouse.move(paper.at(0.2), paper.middle)
    await page.mouse.down()
    for (let k = 0; k < 30; k++) {
      await page.mouse.move(paper.at(0.2 + k * 0.01), paper.middle)
      if (k === 15) expect(await inked(page)).toBeGreaterThan(500)
    }
    await page.mouse.up()
    expect(gateway.charts.length).toBeLessThanOrEqual(2)
  })

  it('says up to when it is, and what lies further on as not yet been', async () => {
    const { page } = await opened(year)
    await chartOf(page).focus()
    await page.keyboard.press('ArrowRight')
    await page
      .getByText(/to Wed 19 Nov 10:12/)
      .first()
      .waitFor()
  })

  it('lays the same span of the year before over it, and says the difference with both coverages', async () => {
    const { page } = await opened(year)
    await page.getByLabel('Lay over it').selectOption('year')
    await page.getByText(/On average .* the year before; [\d.]+\s% and [\d.]+\s% seen\./).waitFor()
    expect(
      gateway.charts.some(
        (query) => Math.abs(Number(new URLSearchParams(query).get('from')) - (fakeNow - 730 * dayMs)) < 2 * dayMs,
      ),
    ).toBe(true)
    expect(new URL(page.url()).searchParams.get('with')).toBe('year')
    await page.getByText('the year before, fainter').waitFor()
  })

  it('lays one run over another from their starts', async () => {
    const { page } = await opened('/look-back?station=D1')
    await page.getByLabel('Open a run').selectOption({ label: 'Seven shells of Wed 12 Nov 09:00' })
    await expect.poll(() => spanOf(page).lengthMs / hourMs).toBeLessThan(34)
    await page.getByLabel('Lay over it').selectOption('run:r-old')
    await page.getByText(/On average .* Five shells of Wed 13 Nov 2030 10:00; /).waitFor()
    const over = gateway.charts.map((query) => Number(new URLSearchParams(query).get('from')))
    const lead = Date.UTC(2031, 10, 12, 8) - spanOf(page).from
    expect(over).toContain(Date.UTC(2030, 10, 13, 9) - lead)
  })

  it('opens a day from the calendar, by keys as well, and marks it there', async () => {
    const { page } = await opened('/look-back?series=d1-a.temperature')
    const calendar = page.getByRole('grid', { name: 'Days of 2031' })
    await page.getByRole('button', { name: 'Highest' }).click()
    const day = calendar.getByRole('gridcell', { name: /^Wed 12 Mar:/ })
    expect(await day.getAttribute('aria-label')).toContain('31.4 °C')
    expect(await day.getAttribute('class')).toContain('shade-4')
    await day.click()
    await expect.poll(() => spanOf(page).lengthMs / hourMs).toBeLessThan(24.1)
    await page.getByRole('heading', { level: 1, name: /31\.4/ }).waitFor()
    expect(await day.getAttribute('class')).toContain('seen')
    await day.focus()
    await page.keyboard.press('ArrowRight')
    expect(await page.evaluate(() => document.activeElement?.getAttribute('aria-label'))).toMatch(/^Thu 13 Mar:/)
    await page.keyboard.press('Enter')
    await page.getByText('Look back · D1 prime room · Thu 13 Mar', { exact: true }).waitFor()
  })

  it('leaves a day on which nothing was seen empty, and says so', async () => {
    const { page } = await opened('/look-back?series=d1-a.temperature')
    const cell = page.getByRole('grid', { name: 'Days of 2031' }).getByRole('gridcell', { name: 'Thu 12 Jun: unseen.' })
    await cell.waitFor()
    expect(await cell.locator('.fill').count()).toBe(0)
    await cell.click()
    await page.getByRole('heading', { level: 1, name: 'D1 climate A was not seen here.' }).waitFor()
  })

  it('says the same in a table, hour by hour or month by month', async () => {
    const { page } = await opened(year)
    await page.getByText('D1 climate A, month by month').click()
    await page.getByRole('row', { name: /Sat 1 Mar to Mon 31 Mar .*31\.4 °C/ }).waitFor()
  })

  it('takes other lines in and refuses a seventh', async () => {
    const { page } = await opened('/look-back?series=d1-a.temperature')
    await page.getByText('Which lines:', { exact: false }).click()
    for (const name of ['W1 middle', 'W2 middle', 'K2 load', 'K2 air A', 'Wax store'])
      await page.getByRole('button', { name, exact: true }).click()
    await page.getByText('Six lines are as many as can be told apart', { exact: false }).waitFor()
    expect(await page.getByRole('button', { name: 'K1 air', exact: true }).isDisabled()).toBe(true)
    expect(new URL(page.url()).searchParams.get('series')?.split(',')).toHaveLength(6)
  })

  it('speaks in degrees Fahrenheit to whoever chose them', async () => {
    const { page } = await opened(year)
    await page.getByRole('button', { name: '°F' }).click()
    await page.getByRole('heading', { level: 1, name: /88\.5 °F/ }).waitFor()
  })
})

describe('looking back at a real gateway', () => {
  it('shows what the instruments sent, tells the spike with its minute, and comes to it from the calendar', async () => {
    const now = Date.UTC(2031, 2, 14, 9)
    const spikeAt = Date.UTC(2031, 2, 12, 3, 10)
    const real = await startGateway({ foundry: smallFoundry(), store: 'sqlite', at: now })
    const count = (3 * dayMs) / 30_000
    const readings = Array.from({ length: count }, (_, i) => {
      const at = now - (count - i) * 30_000
      return { at, celsius: at === spikeAt ? 31.4 : 22 + (i % 7) / 10, relativeHumidity: 45 + (i % 5) / 10 }
    })
    for (let i = 0; i < count; i += 2_000) await real.publish('room-air', readings.slice(i, i + 2_000))
    const { page, complaints } = await look(browser, `${real.http}/look-back?station=room`, { screen: 'laptop' })
    onTestFinished(() => page.close())
    await page.getByRole('heading', { level: 1, name: /Room air: between 22\.0\s°C and 31\.4\s°C\./ }).waitFor()
    await page.getByText('highest Wed 12 Mar 03:10', { exact: false }).waitFor()
    await page.getByRole('gridcell', { name: /^Wed 12 Mar: .*31\.4\s°C.* outside its band, 100\s% seen\./ }).click()
    await page.getByText('Look back · Room · Wed 12 Mar', { exact: true }).waitFor()
    await page.getByRole('heading', { level: 1, name: /31\.4/ }).waitFor()
    const paper = await paperOf(page)
    const { from, lengthMs } = spanOf(page)
    await page.mouse.move(paper.at((spikeAt - from) / lengthMs) + 0.5, paper.middle)
    await expect.poll(() => page.locator('.picked').first().textContent()).toContain('31.4')
    expect(complaints).toEqual([])
  })
})
