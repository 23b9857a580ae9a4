/** The whole way, with a real gateway, a real MQTT client and a real browser: from a packet to a pixel and back to an act. */
import { execFile } from 'node:child_process'
import { promisify } from 'node:util'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest'
import { look as lookWith, openBrowser } from '../helpers/browser.ts'
import { smallFoundry, startGateway } from '../helpers/gateway.ts'
import { programOf, without } from '../helpers/outside.ts'
import { pause } from '../helpers/patience.ts'

let browser: Browser
beforeAll(async () => {
  browser = await openBrowser()
})
afterAll(() => browser.close())

async function look(url: string, screen: 'phone' | 'laptop') {
  const looked = await lookWith(browser, url, { screen })
  onTestFinished(() => looked.page.close())
  return looked
}

describe('from an instrument to the screen', () => {
  it('brings the first reading of an empty foundry onto the floor, claimed by hand', async () => {
    const gateway = await startGateway()
    const { page, complaints } = await look(gateway.http, 'laptop')
    await page.getByText(`-p ${gateway.mqttPort} -q 1 -t cirewatch/my-probe/reading`, { exact: false }).waitFor()
    await gateway.publish('my-probe', { celsius: 21.5 })
    await page.getByRole('heading', { name: 'my-probe says 21.5 °C.' }).waitFor()
    await page.getByLabel('What people call it').fill('My probe')
    await page.getByLabel('Name of the new station').fill('Wax room, north')
    await page.getByRole('button', { name: 'Watch it' }).click()
    await page.getByRole('heading', { name: 'My probe has its place: Wax room, north.' }).waitFor()
    await page.getByLabel('Not above').fill('24 °C = 72 °F')
    await page.getByRole('button', { name: 'Keep these limits' }).click()
    await page.getByRole('alert').getByText('They are not one temperature').waitFor()
    await page.getByLabel('Not above').fill('24 °C = 75.2 °F')
    await page.getByRole('button', { name: 'Keep these limits' }).click()
    await page.getByText('Surroundings follow no recipe.').waitFor()
    await page.getByRole('button', { name: 'Go on' }).click()
    await page.getByRole('heading', { name: 'Wax room, north is watched.' }).waitFor()
    const { body } = await gateway.ask<{ stations: { limits: unknown[] }[] }>('/api/v1/foundry')
    expect(body.stations[0]?.limits).toEqual([expect.objectContaining({ kind: 'window', to: 24 })])
    await page.getByRole('link', { name: 'To the floor' }).click()
    await page.locator('.row', { hasText: 'Wax room, north' }).getByText('21.5').first().waitFor()
    await gateway.publish('my-probe', { celsius: 23.25 })
    await page.locator('.row', { hasText: 'Wax room, north' }).locator('.number', { hasText: '23.3' }).waitFor()
    expect(complaints).toEqual([])
  })

  it.skipIf(without('broker'))(
    'hears the very line that the first page gives out, run in a shell as it stands',
    async () => {
      programOf('broker', 'mosquitto_pub')
      const gateway = await startGateway()
      const { page } = await look(gateway.http, 'laptop')
      const line = (await page.locator('pre').first().textContent()) ?? ''
      await promisify(execFile)('sh', ['-c', line])
      await page.getByRole('heading', { name: 'my-probe says 21.5 °C.' }).waitFor()
    },
  )

  it('leads from an empty foundry to a watched pot with a recipe by the keyboard alone', async () => {
    const gateway = await startGateway()
    const { page } = await look(gateway.http, 'laptop')
    await page.getByText('Waiting for the first reading').waitFor()
    await gateway.publish('pot-1-middle', { celsius: 95 })
    await page.getByRole('heading', { name: 'pot-1-middle says 95.0 °C.' }).waitFor()
    const focused = (tag: string) => expect.poll(() => page.evaluate(() => document.activeElement?.tagName)).toBe(tag)
    const press = async (...keys: string[]) => {
      for (const key of keys) await page.keyboard.press(key)
    }
    await focused('INPUT')
    await press('Enter')
    await page.getByRole('heading', { name: 'pot-1-middle has its place: Wax pot.' }).waitFor()
    await focused('H1')
    await press('Tab')
    await page.keyboard.type('302 F')
    await press('Enter')
    await page.getByRole('heading', { name: 'What should happen in Wax pot?' }).waitFor()
    await focused('H1')
    await press('Tab')
    await page.keyboard.type('Figure wax')
    for (const [from, to] of [
      ['104', '110'],
      ['93', '97'],
      ['74', '78'],
    ] as const) {
      await press('Tab', 'Tab')
      await page.keyboard.type(from)
      await press('Tab')
      await page.keyboard.type(to)
    }
    await press('Enter')
    await page.getByRole('heading', { name: 'Wax pot is watched.' }).waitFor()
    await page.reload()
    await page.getByRole('heading', { name: 'Wax pot is watched.' }).waitFor()
    const { body } = await gateway.ask<{ stations: { limits: unknown[] }[]; recipes: unknown[] }>('/api/v1/foundry')
    expect(body.stations[0]?.limits).toEqual([expect.objectContaining({ kind: 'ceiling', aboveC: 150 })])
    expect(body.recipes).toEqual([expect.objectContaining({ kind: 'wax', id: 'figure-wax', name: 'Figure wax' })])
  })

  it('shows what was heard before anybody looked, with its age, as soon as its instrument is claimed', async () => {
    const gateway = await startGateway()
    await gateway.publish('my-probe', { celsius: 21.5 })
    const { page } = await look(`${gateway.http}/unclaimed`, 'laptop')
    await page.getByRole('button', { name: 'Give it a place' }).click()
    await page.getByLabel('Name of the new station').fill('Wax room, north')
    await page.getByRole('button', { name: 'Watch it' }).click()
    await page.getByText('Every instrument has its place.').waitFor()
    await page.getByRole('link', { name: 'Floor' }).click()
    const row = page.locator('.row', { hasText: 'Wax room, north' })
    await row.getByText('At 21.5 °C; no limits are set.').waitFor()
    expect(await row.locator('.age').first().textContent()).toMatch(/ago|just now/)
  })

  it('reads the topic of another device in two taps, and brings in what was kept of it before', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const client = await gateway.client()
    for (const temp of [96.5, 96.2, 95.9]) {
      await client.publishAsync('yard/shed/pot', JSON.stringify({ sensor: { temp }, battery: 88 }), { qos: 1 })
      await pause(5)
    }
    const { page, complaints } = await look(`${gateway.http}/unclaimed`, 'laptop')
    await page.getByText('Three messages kept', { exact: false }).waitFor()
    await page.getByText('{"sensor":{"temp":95.9},"battery":88}').waitFor()
    await page.getByRole('button', { name: /^Read it/ }).click()
    await page.getByText('Takes /sensor/temp as °C', { exact: false }).first().waitFor()
    await page
      .getByRole('button', { name: /^Read it so/ })
      .first()
      .click()
    await page.getByText(/(three|3) readings kept already/).waitFor()
    await page.getByRole('button', { name: /^Give it a place/ }).click()
    await page.getByLabel('Name of the new station').fill('Shed pot')
    await page.getByRole('button', { name: 'Watch it' }).click()
    await page.getByText('Every instrument has its place.').waitFor()
    await page.getByRole('link', { name: 'Instruments' }).click()
    await page.locator('main li', { hasText: 'yard' }).getByText('95.9').waitFor()
    expect(complaints).toEqual([])
  })

  it('writes down a check at the ice point in three taps, and corrects by it only when told to', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    for (const celsius of [0.6, 0.5, 0.6, 0.6]) {
      await gateway.publish('pot-mid', { celsius })
      await pause(5)
    }
    const { page, complaints } = await look(`${gateway.http}/instruments/pot-mid`, 'phone')
    await page.evaluate(() => localStorage.setItem('cirewatch.name', 'Ana'))
    await page.reload()
    await page.getByRole('button', { name: /^Check it/ }).click()
    await page.getByRole('button', { name: /^Ice point.*0\.6 °C too high/s }).click()
    await page.getByRole('button', { name: 'Write it down' }).click()
    await page.getByText('The check is written down.').waitFor()
    expect(await page.locator('.pair .number').allTextContents()).toEqual(['0.6 °C', '0.6 °C'])
    await page.getByRole('button', { name: /^Correct it from now on/ }).click()
    await page.getByText('It is corrected from now on.').waitFor()
    await gateway.publish('pot-mid', { celsius: 0.6 })
    await expect
      .poll(() => page.locator('.pair .number').allTextContents(), { timeout: 15_000 })
      .toEqual(['0.6 °C', '0.0 °C'])
    await page.getByRole('heading', { name: 'One check.' }).waitFor()
    expect(complaints).toEqual([])
  })

  it('shows an alarm as soon as a ceiling is passed, with what to do, and takes "I have seen it" by name', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const { page, complaints } = await look(gateway.http, 'phone')
    await gateway.publish('pot-mid', { celsius: 95 })
    await page.locator('.row', { hasText: 'Pot' }).locator('.number', { hasText: '95.0' }).waitFor()
    await gateway.publish('pot-mid', { celsius: 155.5 })
    const row = page.locator('.row.act-now')
    await row.getByText(/Above its ceiling of 150/).waitFor()
    await page.getByRole('link', { name: /See .*alarm/ }).click()
    const alarm = page.locator('article', { hasText: 'above its ceiling' })
    await alarm.getByRole('button', { name: /I have seen it/ }).click()
    await page.getByLabel('Your name').fill('Ana')
    await page.getByRole('button', { name: 'That is me' }).click()
    await alarm.getByText('Seen by Ana', { exact: false }).waitFor()
    const { body } = await gateway.ask<{ items: { state: string; acknowledgedBy?: string; kind: string }[] }>(
      '/api/v1/alarms',
    )
    expect(body.items.find((a) => a.kind === 'above-ceiling')).toMatchObject({
      state: 'acknowledged',
      acknowledgedBy: 'Ana',
    })
    expect(complaints).toEqual([])
  })

  it('shows a message that nobody could read, with the reason', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const client = await gateway.client()
    await client.publishAsync('cirewatch/pot-mid/reading', '{"celsius": NaN}', { qos: 1 })
    const { page } = await look(`${gateway.http}/unreadable`, 'phone')
    await page.getByText('{"celsius": NaN}').waitFor()
    await page.getByText('not JSON', { exact: false }).waitFor()
  })

  it('draws the trace from the store and goes on with what arrives, each reading once', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const begun = gateway.clock.now() - 600_000
    await gateway.publish(
      'pot-mid',
      Array.from({ length: 60 }, (_, i) => ({ at: begun + i * 10_000, celsius: 90 + i * 0.1 })),
    )
    const { page, complaints } = await look(`${gateway.http}/station/pot`, 'laptop')
    await page.getByText(/Last 8 h: from 90\.0 °C to 95\.9 °C/).waitFor()
    await page.getByRole('button', { name: '1 h' }).click()
    await gateway.publish('pot-mid', { celsius: 97.5 })
    await page.getByText(/Last 1 h: from 90\.0 °C to 97\.5 °C/).waitFor()
    expect(await page.locator('.plot canvas').count()).toBe(1)
    expect(complaints).toEqual([])
  })

  it('reads each chart once and goes on with what arrives, however many frames come', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    await gateway.publish('pot-mid', { celsius: 90 })
    for (const path of ['/', '/station/pot']) {
      const { page } = await look(`${gateway.http}${path}`, 'laptop')
      await page.getByText('90.0').first().waitFor()
      const charts: string[] = []
      page.on('request', (request) => {
        if (request.url().includes('/chart?')) charts.push(request.url())
      })
      for (let i = 0; i < 40; i++) {
        await gateway.publish('pot-mid', { celsius: 90 + i * 0.01 })
        await page.waitForTimeout(50)
      }
      await page.getByText('90.4').first().waitFor()
      // One reading of each chart may still have been on its way.
      expect(charts.length).toBeLessThanOrEqual(2)
    }
  })
})
