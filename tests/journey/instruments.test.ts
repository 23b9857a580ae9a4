/** Instruments in a real browser: the doubted stand first, a check takes three taps, a claim two, and no picture needs colour. */
import { join } from 'node:path'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest'
import { look, openBrowser } from '../helpers/browser.ts'
import { fakeNow } from '../helpers/fake-foundry.ts'
import { type FakeGateway, fakeGateway } from '../helpers/fake-gateway.ts'

let browser: Browser
beforeAll(async () => {
  browser = await openBrowser()
})
afterAll(() => browser.close())

async function opened(
  path: string,
  on: Partial<Parameters<typeof look>[2]> = {},
  change?: (gateway: FakeGateway) => void,
) {
  const gateway = await fakeGateway(join(import.meta.dirname, '../../build/dashboard'))
  change?.(gateway)
  const { page, complaints } = await look(browser, gateway.url + path, { screen: 'laptop', ...on })
  onTestFinished(async () => {
    await page.close()
    await gateway.close()
  })
  await page.evaluate(() => localStorage.setItem('cirewatch.name', 'Ana'))
  await page.reload()
  return { page, gateway, complaints }
}

/** Acts that change something, with their bodies. */
const acts = (gateway: FakeGateway, end: string) =>
  gateway.asked
    .filter(({ method, path }) => method === 'POST' && path.endsWith(end))
    .map(({ body }) => JSON.parse(body) as Record<string, unknown>)
    .filter((body) => body['dryRun'] !== true)

describe('the list of instruments', () => {
  it('puts the doubted first, each with a sentence, and says in a word that a check is overdue', async () => {
    const { page } = await opened('/instruments')
    await page.getByRole('heading', { level: 1, name: 'Two instruments of 14 are doubted.' }).waitFor()
    const names = await page.locator('main li .who a').allTextContents()
    expect(names.slice(0, 2).sort()).toEqual(['K2 air B', 'W1 infrared'])
    expect(names).toHaveLength(14)
    expect(await page.getByRole('list', { name: 'Doubts about K2 air B' }).textContent()).toContain('K2 air A')
    const row = page.locator('main li').filter({ has: page.getByRole('link', { name: 'W1 middle' }) })
    expect(await row.textContent()).toMatch(/Overdue\s*by 129 days/)
  })

  it('is led to from the station, and leads to the instrument', async () => {
    const { page } = await opened('/station/W1')
    await page.getByRole('link', { name: 'W1 middle' }).click()
    await page.getByRole('heading', { level: 1, name: 'W1 middle' }).waitFor()
    expect(new URL(page.url()).pathname).toBe('/instruments/w1-mid')
    await page.getByRole('link', { name: 'Instruments' }).last().click()
    await page.getByText('Doubted', { exact: true }).waitFor()
  })
})

describe('one instrument', () => {
  it('shows what was sent beside what it means, and says why where it means nothing', async () => {
    const { page } = await opened('/instruments/w1-mid')
    await page.getByText('by its calibration of').waitFor()
    expect(await page.locator('.pair .number').allTextContents()).toEqual(['95.4 °C', '96.4 °C'])
    await page.goto(page.url().replace('w1-mid', 'w1-gun'))
    await page.getByText('No answer').waitFor()
    await page.getByText('mirrors more than it sends out', { exact: false }).waitFor()
  })

  it('takes a check in three taps, shows before what it would find, and calibrates only when it is told to', async () => {
    const { page, gateway } = await opened('/instruments/w1-mid', { screen: 'phone' })
    await page.getByRole('button', { name: /^Check it/ }).tap()
    const ice = page.getByRole('button', { name: /^Ice point/ })
    await ice.getByText('Now: reads 0.6 °C too low').waitFor()
    expect(await page.getByRole('button', { name: /^W1 bottom/ }).textContent()).toContain('wait until')
    expect(await page.getByRole('button', { name: 'Write it down' }).isDisabled()).toBe(true)
    await ice.tap()
    await page.getByRole('button', { name: 'Write it down' }).tap()
    await page.getByRole('heading', { name: 'The check is written down.' }).waitFor()
    expect(acts(gateway, '/checks')).toEqual([{ reference: 'ice-point', by: 'Ana' }])
    expect(acts(gateway, '/calibrations')).toEqual([])
    // Another check of this month, of another point, may stand in the same calibration.
    await page.getByRole('checkbox').nth(1).check()
    await page.getByRole('button', { name: 'Correct it from now on by two checks' }).tap()
    await page.getByRole('heading', { name: 'It is corrected from now on.' }).waitFor()
    const [made] = acts(gateway, '/calibrations') as [{ points: { readsC: number; isC: number }[] }]
    expect(made.points.map(({ isC }) => isC)).toEqual([0, 95.2])
  })

  it('cannot write down what cannot be found, and says why', async () => {
    const { page, gateway } = await opened('/instruments/w1-mid')
    await page.getByRole('button', { name: /^Check it/ }).click()
    await page.getByRole('button', { name: /^W1 bottom/ }).click()
    await page.getByRole('status').getByText('wait until it moves less').waitFor()
    expect(await page.getByRole('button', { name: 'Write it down' }).isDisabled()).toBe(true)
    expect(acts(gateway, '/checks')).toEqual([])
  })

  it('finds an emissivity in two steps, and sets it only when it is taken', async () => {
    const { page, gateway } = await opened('/instruments/w1-gun')
    await page.getByRole('button', { name: 'Compare with W1 middle' }).click()
    await page.getByText('58 pairs of the last five minutes').waitFor()
    expect(acts(gateway, '/emissivity').every((body) => body['apply'] === undefined)).toBe(true)
    await page.getByRole('button', { name: 'Take 0.912 ± 0.012' }).click()
    await expect.poll(() => acts(gateway, '/emissivity').at(-1)).toMatchObject({ contact: 'w1-mid', apply: true })
  })

  it('writes down a certificate as found and as left', async () => {
    const { page, gateway } = await opened('/instruments/w1-mid')
    await page.getByRole('button', { name: 'Write down a calibration' }).click()
    await page.getByLabel('Sure to').fill('0.2')
    await page.getByLabel('It was').first().fill('100 °C = 212 °F')
    await page.getByLabel('As found it read').first().fill('98.9')
    await page.getByLabel('As left it read').first().fill('100.1')
    await page.getByRole('button', { name: 'Keep this calibration' }).click()
    await expect
      .poll(() => acts(gateway, '/calibrations'))
      .toEqual([
        { points: [{ readsC: 100.1, isC: 100, uC: 0.1 }], found: [{ readsC: 98.9, isC: 100, uC: 0.1 }], by: 'Ana' },
      ])
  })

  it('tells its drift as a table whose rows are the picture, by place alone and without colour', async () => {
    const { page } = await opened('/instruments/k2-air-b')
    const table = page.getByRole('table', { name: /difference to its twin/ })
    await table.waitFor()
    expect(await table.getByRole('row').count()).toBe(12)
    expect(await table.getByRole('row').last().textContent()).toMatch(/^11 · .*−9\.0 °C$/s)
    const marks = await table.locator('circle').evaluateAll((all) => all.map((one) => one.getBoundingClientRect().x))
    const line = await table
      .locator('.plumb')
      .first()
      .evaluate((one) => one.getBoundingClientRect().x)
    expect(marks.every((x, i) => x < line && (i === 0 || x <= (marks[i - 1] ?? 0)))).toBe(true)
    await page.getByRole('button', { name: 'K2 air A, 450 °C' }).click()
    expect(await table.getByRole('row').count()).toBe(5)
    await page.getByText('inspect or replace it; do not trim it', { exact: false }).waitFor()
  })

  it('speaks °F where the viewer does, differences without the offset', async () => {
    const { page } = await opened('/instruments/k2-air-b')
    await page.getByRole('button', { name: '°F' }).click()
    await page.getByRole('heading', { name: /−3\.6 °F in firing 1, −16\.2 °F in firing 11/ }).waitFor()
  })

  it('keeps every doubt there was, with what was seen and what was ruled out', async () => {
    const { page } = await opened('/instruments/w1-gun')
    const past = page.locator('article')
    await past.first().waitFor()
    expect(await past.count()).toBe(1)
    await page.getByRole('heading', { name: 'W1 infrared is doubted.' }).waitFor()
    expect(await page.locator('.doubt').textContent()).toMatch(/Look first: .*Seen: .*Ruled out: /s)
    expect(await past.first().textContent()).toMatch(/Seen: .*Ruled out: /s)
  })

  it('prints its figures and leaves its buttons away', async () => {
    const { page } = await opened('/instruments/w1-mid')
    await page.getByRole('heading', { name: 'Four checks.' }).waitFor()
    await page.emulateMedia({ media: 'print' })
    expect(await page.getByRole('button').count()).toBe(0)
    expect(await page.getByRole('table', { name: 'What each check found' }).isVisible()).toBe(true)
    expect(await page.getByText('As left').isVisible()).toBe(true)
  })
})

describe('what nobody has claimed', () => {
  it('is claimed in two taps with what it looks like, and says what is kept already', async () => {
    const { page, gateway } = await opened('/unclaimed', { screen: 'phone' }, (gateway) => {
      gateway.unclaimed = {
        total: 1,
        items: [
          {
            instrument: 'w1-top',
            firstAt: fakeNow - 300_000,
            lastAt: fakeNow,
            readings: 61,
            quantities: ['number'],
            lastValues: { number: 95.5 },
            lastPayload: { topic: 'cirewatch/w1-top/senml', payload: '[{"n":"w1-top","v":95.5}]', at: fakeNow },
          },
        ],
      }
    })
    await page.getByText('61 readings kept already', { exact: false }).waitFor()
    await page.getByText('[{"n":"w1-top","v":95.5}]').waitFor()
    await page.getByRole('button', { name: /^Give it a place/ }).tap()
    await page.getByText('A guess.').waitFor()
    await page.getByText('Looks like °C: 95.5 is a wax pot’s temperature.', { exact: false }).waitFor()
    await page.getByRole('button', { name: 'Watch it' }).tap()
    await expect
      .poll(() => acts(gateway, '/claim'))
      .toEqual([
        { name: 'w1-top', kind: 'thermocouple', intervalS: 5, station: 'W1', place: 'wax-top', unit: 'celsius' },
      ])
  })

  it('reads a topic of another device in two taps, after saying how', async () => {
    const { page, gateway } = await opened('/unclaimed')
    await page.getByText('{"sensor": {"temp": 182.5, "rh": 12}, "battery": 88}').waitFor()
    await page.getByRole('button', { name: /^Read it\s*: yard/ }).click()
    await page.getByText('Takes /sensor/temp as °C and /sensor/rh as % humidity', { exact: false }).first().waitFor()
    await page
      .getByRole('button', { name: /^Read it so/ })
      .first()
      .click()
    await expect.poll(() => acts(gateway, '/mappings').length).toBe(1)
    expect(acts(gateway, '/mappings')[0]).toMatchObject({ mapping: { topic: 'yard/shed/oven' } })
  })

  it('keeps a form that is being filled in when another device begins to speak', async () => {
    const { page, gateway } = await opened('/begin')
    await page.getByLabel('What people call it').fill('North probe')
    const [mine] = gateway.unclaimed.items
    if (!mine) throw new Error('nobody')
    gateway.unclaimed = {
      total: 2,
      items: [{ ...mine, instrument: 'other', firstAt: fakeNow, lastAt: fakeNow }, mine],
    }
    gateway.send({ after: 1_000, seq: 1_001, counts: { unreadable: 2, unclaimed: 2 } })
    await page.getByText('One other can have a place afterwards', { exact: false }).waitFor()
    expect(await page.getByLabel('What people call it').inputValue()).toBe('North probe')
  })
})
