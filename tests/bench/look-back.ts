/** Looking back in a real browser: how long the first picture of a year takes, and how smoothly four lines of a year are panned. */
import type { Page } from 'playwright-core'
import { openBrowser } from '../helpers/browser.ts'
import { type Ready, setUp, startOurs } from './kit/child.ts'
import { disks } from './kit/disks.ts'
import { inMs, toldOf, verdict } from './kit/percentiles.ts'
import { median } from './kit/race.ts'
import { yearsOf } from './kit/years.ts'

const series = 4
const visits = 15
const panSeconds = 5
const firstPictureMsMax = 300
const framesPerSecondMin = 60
const day = 86_400_000

const [disk] = disks()
if (disk === undefined) throw new Error('There is nowhere to write.')
const folder = disk.folder()
// Two years, so that a year can be panned through readings and not through emptiness.
const years = yearsOf(folder, { series, years: 2, hz: 1 })
const ours = startOurs(folder)
const browser = await openBrowser()
try {
  const { ready } = await ours.hear<Ready>()
  const instruments = years.names.map((name) => name.slice(0, name.lastIndexOf('.')))
  await setUp(ready.http, {
    site: { name: 'Bench', timeZone: 'Europe/London', elevationM: 0, invented: true },
    stations: [{ id: 'pot', name: 'Pot', kind: 'pot', limits: [{ kind: 'window', from: 5, to: 120 }] }],
    instruments: instruments.map((id) => ({ id, name: id, kind: 'thermocouple', station: 'pot', intervalS: 1 })),
    recipes: [],
  })
  console.log(
    `\nlook-back: ${series} lines at 1 Hz for two years (${years.readings.toLocaleString('en-GB')} readings), Chromium without a graphics card, 1280 × 800`,
  )
  await firstPictures(ready.http, 0, async () => undefined, 'the moment the floor stands')
  const usual = await firstPictures(ready.http, visits, codeIsThere, 'two seconds after it stands')
  console.log(`  ${verdict(usual, firstPictureMsMax, 'ms median')}`)
  await panning(ready.http)
} finally {
  await browser.close()
  await ours.end()
  disk.clear()
}

function yearPath(endsDaysBefore: number): string {
  const to = years.to - endsDaysBefore * day
  return `/look-back?series=${years.names.join(',')}&from=${to - 365 * day}&to=${to}`
}

/** A browser that was never here opens the floor, then follows a link to a year: from the click until the picture is drawn. */
async function firstPictures(
  http: string,
  firstYear: number,
  wait: (page: Page) => Promise<unknown>,
  told: string,
): Promise<number> {
  const times: number[] = []
  for (let visit = 0; visit < visits; visit++) {
    const context = await browser.newContext({ viewport: { width: 1280, height: 800 } })
    const page = await context.newPage()
    await page.goto(http)
    await page.getByRole('link', { name: 'Look back' }).waitFor()
    await wait(page)
    times.push(await clickToPicture(page, yearPath(firstYear + visit)))
    await context.close()
  }
  console.log(
    `  click to first picture of a year, each visit another year and an empty cache, ${told}: ${inMs(toldOf(times))}`,
  )
  return toldOf(times).median
}

/** The floor has stood for two seconds: the page that is led to was fetched meanwhile. */
async function codeIsThere(page: Page): Promise<void> {
  await page.waitForFunction(() =>
    performance.getEntriesByType('resource').some(({ name }) => /LookBack.*js/.test(name)),
  )
}

function clickToPicture(page: Page, path: string): Promise<number> {
  return page.evaluate(async (href) => {
    const link = document.createElement('a')
    link.href = href
    document.body.append(link)
    const begun = performance.now()
    link.click()
    for (;;) {
      const [drawn] = performance.getEntriesByName('long chart drawn')
      // The frame in which it was drawn is on the screen when the next one begins.
      const next = await new Promise<number>((resolve) => requestAnimationFrame(() => resolve(performance.now())))
      if (drawn) return next - begun
    }
  }, path)
}

/** A hand drags the year to and fro; the page notes when each of its frames began, and in how many the chart was drawn. */
async function panning(http: string): Promise<void> {
  const page = await browser.newPage({ viewport: { width: 1280, height: 800 } })
  await page.goto(http + yearPath(180))
  await page.waitForFunction(() => performance.getEntriesByName('long chart drawn').length > 0)
  await page.waitForLoadState('networkidle')
  const box = await page.locator('.u-over').boundingBox()
  if (!box) throw new Error('The chart has no paper.')
  const idle = await frames(page, () => new Promise((resolve) => setTimeout(resolve, 2_000)))
  const [left, middle] = [box.x + box.width * 0.25, box.y + box.height / 2]
  await page.mouse.move(left, middle)
  await page.mouse.down()
  const begun = performance.now()
  const moved = await frames(page, async () => {
    while (performance.now() - begun < panSeconds * 1_000) {
      const phase = ((performance.now() - begun) / 2_500) % 2
      await page.mouse.move(left + box.width * 0.5 * (phase < 1 ? phase : 2 - phase), middle)
    }
  })
  await page.mouse.up()
  const rate = 1_000 / median(moved.gaps)
  console.log(`  an idle page: ${(1_000 / median(idle.gaps)).toFixed(1)} frames/s median`)
  console.log(
    `  panning for ${panSeconds} s: ${rate.toFixed(1)} frames/s median, gaps ${inMs(toldOf(moved.gaps))}, drawn anew in ${moved.drawn} of ${moved.gaps.length} frames`,
  )
  const word = Math.round(rate) >= framesPerSecondMin ? 'kept' : 'MISSED'
  console.log(`  ${word}: ${rate.toFixed(1)} of at least ${framesPerSecondMin} frames/s median`)
}

async function frames(page: Page, meanwhile: () => Promise<unknown>): Promise<{ gaps: number[]; drawn: number }> {
  await page.evaluate(() => {
    const noted = { begins: [] as number[], drawn: 0, isOver: false }
    Object.assign(window, { noted })
    const clear = CanvasRenderingContext2D.prototype.clearRect
    CanvasRenderingContext2D.prototype.clearRect = function (...box) {
      if (!noted.isOver) noted.drawn++
      return clear.apply(this, box)
    }
    const next = (at: number) => {
      if (noted.isOver) return
      noted.begins.push(at)
      requestAnimationFrame(next)
    }
    requestAnimationFrame(next)
  })
  await meanwhile()
  return page.evaluate(() => {
    const { noted } = window as unknown as { noted: { begins: number[]; drawn: number; isOver: boolean } }
    noted.isOver = true
    return { gaps: noted.begins.slice(1).map((at, i) => at - (noted.begins[i] as number)), drawn: noted.drawn }
  })
}
