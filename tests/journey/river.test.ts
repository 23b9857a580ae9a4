/** The whole way, with a real gateway, a real MQTT client and a real browser: from a packet to a pixel and back to an act. */
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest'
import { look as lookWith, openBrowser } from '../helpers/browser.ts'
import { smallFoundry, startGateway } from '../helpers/gateway.ts'

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
    await page.getByText('Somebody is speaking.').waitFor()
    await page.getByRole('link', { name: 'Give it a place' }).click()
    await page.getByRole('button', { name: 'Give it a place' }).click()
    await page.getByLabel('What people call it').fill('My probe')
    await page.getByLabel('Name of the new station').fill('Wax room, north')
    await page.getByRole('button', { name: 'Watch it' }).click()
    await page.getByText('Every instrument has its place.').waitFor()
    await page.getByRole('link', { name: 'Floor' }).click()
    await page.locator('.row', { hasText: 'Wax room, north' }).getByText('21.5').first().waitFor()
    await gateway.publish('my-probe', { celsius: 23.25 })
    await page.locator('.row', { hasText: 'Wax room, north' }).locator('.number', { hasText: '23.3' }).waitFor()
    expect(complaints).toEqual([])
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
