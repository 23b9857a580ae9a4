/** Every page on every screen: nothing cut off, nothing too small to touch, nothing a policy or an accessibility rule complains about. */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { AxeBuilder } from '@axe-core/playwright'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest'
import { look, openBrowser, type screens } from '../helpers/browser.ts'
import { inUnit } from '../../shared/words/index.ts'
import { fakeNow, fakeValue } from '../helpers/fake-foundry.ts'
import { type FakeGateway, fakeGateway } from '../helpers/fake-gateway.ts'

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

/** A page that is closed with its test, so that it hears nothing of the next one. */
async function opened(url: string, on: Parameters<typeof look>[2]) {
  const looked = await look(browser, url, on)
  onTestFinished(() => looked.page.close())
  return looked
}

/** A gateway of this test alone, where the test cuts its lines. */
async function ownGateway(): Promise<FakeGateway> {
  const own = await fakeGateway(dashboard)
  onTestFinished(() => own.close())
  return own
}

/** Pages, each with words that stand only on it once it is complete. */
const pages: Record<string, string> = {
  '/': 'One thing to do now.',
  '/station/W1': 'Temperature over 8 h as a table',
  '/station/K2': 'Burnout begun at',
  '/kiln/K2': 'Is a pour booked?',
  '/station/D1': 'Last night',
  '/alarms': 'What was found before',
  '/unreadable': 'Two messages could not be read.',
  '/unclaimed': 'One instrument without a place.',
  '/instruments': 'Two instruments of 14 are doubted.',
  '/instruments/w1-mid': 'One calibration.',
  '/instruments/k2-air-b': '7 °C further apart than at first.',
  '/instruments/w1-gun': 'Emissivity, by comparison',
  '/begin': 'my-probe says 21.5 °C.',
  '/begin?instrument=w1-mid&at=limits': 'It has limits already',
  '/begin?instrument=w1-mid&at=recipe': 'A recipe is there for it already',
  '/begin?instrument=w1-mid&at=watched': 'W1 detail pot is watched.',
  '/recipes': 'A recipe says it, and a run is judged by it.',
  '/recipes/figure-wax': 'Write a new revision',
  '/recipes/figure-wax/edit': 'Runs under way keep revision',
  '/recipes/new': 'Every number is your own wax’s',
  '/dip-board': 'It authorises no dip',
  '/night/last': 'Made from stored readings',
  '/nights': 'Noon to noon, held against',
  '/keeping': 'To bring a backup back',
  '/wall': 'One thing to do now.',
  '/nowhere': 'There is no such page.',
}

/** What is only heard is touched by its label. */
async function smallTargets(page: Page): Promise<string[]> {
  return page.evaluate(() =>
    [...document.querySelectorAll('button, nav a, .button, select, input:not(.only-heard), summary, .row')]
      // A box to tick is touched by its label.
      .map((e) => (e.matches('[type="checkbox"], [type="radio"]') ? (e.closest('label') ?? e) : e))
      .map((e) => ({ box: e.getBoundingClientRect(), text: e.textContent?.trim().slice(0, 30) ?? '' }))
      .filter(({ box }) => box.width > 0 && (box.height < 47.9 || box.width < 40))
      .map(({ box, text }) => `${text} ${Math.round(box.width)}×${Math.round(box.height)}`),
  )
}

const looks: { screen: keyof typeof screens; scheme: 'light' | 'dark' }[] = [
  { screen: 'phone', scheme: 'light' },
  { screen: 'laptop', scheme: 'dark' },
  { screen: 'wall', scheme: 'light' },
]

describe.each(looks)('on a $screen in the $scheme', ({ screen, scheme }) => {
  it.each(Object.entries(pages))('%s is whole, touchable and accessible', async (path, words) => {
    const { page, complaints } = await opened(gateway.url + path, { screen, scheme })
    await page.getByText(words, { exact: false }).first().waitFor()
    expect(
      await page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
      'wider than the screen',
    ).toBeLessThanOrEqual(0)
    expect(await smallTargets(page)).toEqual([])
    const { violations } = await new AxeBuilder({ page })
      .setLegacyMode(true)
      .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
      .analyze()
    expect(violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(' | ')}`)).toEqual([])
    expect(await page.getByText('Invented foundry – demonstration', { exact: false }).isVisible()).toBe(true)
    expect(complaints).toEqual([])
  })
})

describe('the dashboard', () => {
  it('shows the whole wall board without scrolling', async () => {
    const { page } = await opened(`${gateway.url}/wall`, { screen: 'wall' })
    await page.getByText('K2 solid-mould kiln').waitFor()
    expect(await page.evaluate(() => document.documentElement.scrollHeight - innerHeight)).toBeLessThanOrEqual(0)
  })

  it('prints the night on one sheet of A4', async () => {
    const { page } = await opened(`${gateway.url}/night/last`, { screen: 'laptop' })
    await page.getByText('Made from stored readings').waitFor()
    const sheet = await page.pdf({ format: 'A4', margin: { top: '10mm', bottom: '10mm', left: '10mm', right: '10mm' } })
    expect(/\/Count (\d+)/.exec(sheet.toString('latin1'))?.[1]).toBe('1')
  })

  it('loads at most 100 kB of JavaScript, gzipped, before the first page stands', () => {
    const html = readFileSync(join(dashboard, 'index.html'), 'utf8')
    const files = [...html.matchAll(/(?:src|href)="(\/[^"]+\.js)"/g)].map((m) => m[1] as string)
    expect(files.length).toBeGreaterThan(0)
    const bytes = files.reduce((sum, file) => sum + gzipSync(readFileSync(join(dashboard, file))).byteLength, 0)
    expect(bytes).toBeLessThanOrEqual(100_000)
  })

  it('brings nothing inline and nothing from another host', () => {
    const html = readFileSync(join(dashboard, 'index.html'), 'utf8')
    expect(html).not.toMatch(/<style|style=|<script(?![^>]*src=)|https?:\/\//)
  })

  it('shows an old value as old: faded, its time struck through, said to be the past', async () => {
    const { page } = await opened(gateway.url, { screen: 'laptop' })
    const row = page.locator('.row', { hasText: 'Bench cup' })
    await row.waitFor()
    expect(await row.locator('s').textContent()).toBe('09:22')
    expect(await row.locator('.number').textContent()).toMatch(/^was/)
    const ink = (name: string) =>
      page
        .locator('.row', { hasText: name })
        .locator('.number')
        .first()
        .evaluate((e) => getComputedStyle(e).color)
    expect(await ink('Bench cup')).not.toBe(await ink('W3 slush tank'))
  })

  it('remembers the unit and the light that this viewer chose', async () => {
    const { page } = await opened(gateway.url, { screen: 'laptop' })
    const fahrenheit = inUnit(fakeValue('w3-top.temperature', fakeNow - 2_000) ?? 0, { unit: 'F' })
    await page.getByRole('button', { name: '°F' }).click()
    await page.getByRole('button', { name: 'Dark' }).click()
    await page.reload()
    const row = page.locator('.row', { hasText: 'W3 slush tank' })
    await row.getByText(fahrenheit.toFixed(1), { exact: false }).first().waitFor()
    expect(await page.evaluate(() => document.documentElement.dataset.theme)).toBe('dark')
  })

  it('can be led by the keyboard alone, and shows where one is', async () => {
    const { page } = await opened(gateway.url, { screen: 'laptop' })
    await page.locator('.row').first().waitFor()
    await page.keyboard.press('Tab')
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe('To the page')
    await page.keyboard.press('Enter')
    for (let i = 0; i < 2; i++) await page.keyboard.press('Tab')
    const focused = await page.evaluate(() => ({
      text: document.activeElement?.textContent ?? '',
      outline: getComputedStyle(document.activeElement as Element).outlineStyle,
    }))
    expect(focused.text).toContain('W2 build pot')
    expect(focused.outline).toBe('solid')
    await page.keyboard.press('Enter')
    await page.getByRole('heading', { level: 1, name: /Above its ceiling/ }).waitFor()
    expect(new URL(page.url()).pathname).toBe('/station/W2')
    await page.goBack()
    await page.getByText('One thing to do now.').waitFor()
  })

  it('says at once that the gateway is not heard, ages everything, and resumes behind what it held', async () => {
    const gateway = await ownGateway()
    const { page } = await opened(gateway.url, { screen: 'laptop' })
    await page.locator('.row').first().waitFor()
    gateway.send({ after: 1_000, seq: 1_001, readings: { 'w3-top.temperature': [[fakeNow + 500, 77.7, 0, 5]] } })
    await page.locator('.row', { hasText: 'W3 slush tank' }).getByText('77.7').first().waitFor()
    gateway.listen(false)
    await page.getByText('The gateway is not heard since', { exact: false }).waitFor()
    const came = gateway.came.length
    gateway.listen(true)
    await page.getByText('The gateway is not heard', { exact: false }).waitFor({ state: 'detached' })
    expect(gateway.came.slice(came)).toEqual(['1001'])
  })

  it('asks for a fresh welcome when a frame is missing', async () => {
    const gateway = await ownGateway()
    const { page } = await opened(gateway.url, { screen: 'laptop' })
    await page.locator('.row').first().waitFor()
    const came = gateway.came.length
    gateway.send({ after: 1_007, seq: 1_009 })
    await expect.poll(() => gateway.came.slice(came)).toEqual([null])
  })

  it('asks for the token where one is needed, and lets in whoever has it', async () => {
    const gateway = await ownGateway()
    gateway.locked = true
    const { page } = await opened(gateway.url, { screen: 'phone' })
    await page.getByLabel('Token').fill('wrong')
    await page.getByRole('button', { name: 'Come in' }).click()
    await page.getByText('This is not the token of this gateway.').waitFor()
    await page.getByLabel('Token').fill('right')
    await page.getByRole('button', { name: 'Come in' }).click()
    await page.getByText('One thing to do now.').waitFor()
  })

  it('signs every act with a name that it asks for once', async () => {
    const gateway = await ownGateway()
    const { page } = await opened(`${gateway.url}/station/W1`, { screen: 'phone' })
    await page.getByRole('button', { name: 'Coat 2 is on' }).click()
    await page.getByLabel('Your name').fill('Ana')
    await page.getByRole('button', { name: 'That is me' }).click()
    await expect
      .poll(() => gateway.asked.find((a) => a.path === '/api/v1/runs/r-1/steps')?.body)
      .toBe('{"step":"coat","coat":"coat-2","by":"Ana"}')
    await page.getByRole('button', { name: 'Take the last one back' }).click()
    await expect.poll(() => gateway.asked.find((a) => a.path === '/api/v1/runs/r-1/undo')?.body).toBe('{"by":"Ana"}')
  })

  it('never loses the keyboard: not in the claim form, not after a claim, not after "I have seen it"', async () => {
    const gateway = await ownGateway()
    const { page } = await opened(`${gateway.url}/unclaimed`, { screen: 'laptop' })
    const focused = () => page.evaluate(() => document.activeElement?.tagName)
    await page.getByRole('button', { name: 'Give it a place' }).press('Enter')
    await expect.poll(focused).toBe('INPUT')
    expect(await page.evaluate(() => (document.activeElement as HTMLInputElement).value)).toBe('my-probe')
    await page.getByRole('button', { name: 'Leave it' }).press('Enter')
    await expect.poll(focused).toBe('BUTTON')
    await page.getByRole('button', { name: 'Give it a place' }).press('Enter')
    await page.getByRole('button', { name: 'Watch it' }).press('Enter')
    await expect.poll(focused).toBe('H1')
    await page.getByRole('link', { name: 'Alarms' }).click()
    await page
      .getByRole('button', { name: /I have seen it/ })
      .first()
      .press('Enter')
    await page.getByRole('button', { name: 'Not now' }).press('Enter')
    await expect.poll(focused).toBe('BUTTON')
    await page
      .getByRole('button', { name: /I have seen it/ })
      .first()
      .press('Enter')
    await page.getByLabel('Your name').fill('Ana')
    await page.getByLabel('Your name').press('Enter')
    await expect.poll(focused).toBe('H1')
  })

  it.each(['phone', 'laptop'] as const)('cuts no word of the kinds in the claim form on a %s', async (screen) => {
    const { page } = await opened(`${gateway.url}/unclaimed`, { screen })
    await page.getByRole('button', { name: 'Give it a place' }).click()
    const select = page.getByLabel('What it is')
    // The words are measured in the font of the field; the arrow of the browser takes some 24 px of it.
    const room = await select.evaluate((element: HTMLSelectElement) => {
      const style = getComputedStyle(element)
      const pen = document.createElement('canvas').getContext('2d') as CanvasRenderingContext2D
      pen.font = style.font
      const widest = Math.max(...[...element.options].map((o) => pen.measureText(o.text).width))
      return element.clientWidth - Number.parseFloat(style.paddingLeft) - Number.parseFloat(style.paddingRight) - widest
    })
    expect(room).toBeGreaterThan(24)
  })

  it('acknowledges with one button each of the alarms that began together', async () => {
    const gateway = await ownGateway()
    const [, quiet] = gateway.welcome.alarms
    if (!quiet) throw new Error('no alarm')
    const together = ['store', 'd1-a', 'd2-a'].map((subject, i) => ({
      ...quiet,
      id: `q-${subject}`,
      subject,
      state: 'unacknowledged' as const,
      finding: { ...quiet.finding, id: `q-${subject}`, subject, instrument: subject, since: fakeNow - i * 20_000 },
    }))
    gateway.welcome = { ...gateway.welcome, alarms: together as typeof gateway.welcome.alarms }
    const { page } = await opened(`${gateway.url}/alarms`, { screen: 'phone' })
    await page.getByRole('heading', { name: /^Three gone quiet/ }).waitFor()
    expect(await page.getByRole('button', { name: /I have seen it/ }).count()).toBe(3)
    await page.getByRole('button', { name: /I have seen all three/ }).click()
    await page.getByLabel('Your name').fill('Ana')
    await page.getByRole('button', { name: 'That is me' }).click()
    const seen = () => gateway.asked.filter((a) => a.path.endsWith('/acknowledge')).map((a) => a.path.split('/')[4])
    await expect.poll(() => seen().sort()).toEqual(['q-d1-a', 'q-d2-a', 'q-store'])
  })
})
