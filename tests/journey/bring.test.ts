/** A logger's table is brought in by hand, in a real browser: seen first, answered, tried, kept; and taken out again. */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { AxeBuilder } from '@axe-core/playwright'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { look, openBrowser, type screens } from '../helpers/browser.ts'
import { smallFoundry, startGateway } from '../helpers/gateway.ts'

let browser: Browser
beforeAll(async () => {
  browser = await openBrowser()
})
afterAll(() => browser.close())

const files = join(import.meta.dirname, '../bring/files')
const table = (file: string) => ({ name: file, mimeType: 'text/csv', buffer: readFileSync(join(files, file)) })

async function opened(screen: keyof typeof screens, scheme: 'light' | 'dark' = 'light') {
  const gateway = await startGateway({ at: Date.UTC(2026, 10, 25, 9), foundry: smallFoundry() })
  const { page, complaints } = await look(browser, `${gateway.http}/keeping`, { screen, scheme })
  await page.getByText("Bring in a logger's table").waitFor()
  return { gateway, page, complaints }
}

describe('bringing in', () => {
  it.each([
    ['phone', 'light'],
    ['phone', 'dark'],
    ['laptop', 'light'],
    ['laptop', 'dark'],
    ['wall', 'light'],
  ] as const)('stands on a %s in %s, from the file to what is kept', async (screen, scheme) => {
    const { gateway, page, complaints } = await opened(screen, scheme)
    await page.getByLabel('Choose a file').setInputFiles(table('invented-kiln-tab.txt'))
    await page.getByText('Day before month: 25 stands in first place on line 2.').waitFor()
    await page.getByRole('cell', { name: '25 June 2026 06:05:00' }).waitFor()
    expect(await page.getByRole('cell', { name: 'none (open)' }).count()).toBe(1)
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0)
    const { violations } = await new AxeBuilder({ page })
      .setLegacyMode(true)
      .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
      .analyze()
    expect(violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(' | ')}`)).toEqual([])
    await page.getByRole('button', { name: 'Try the whole file' }).click()
    await page.getByRole('heading', { name: '5 readings would be kept.' }).waitFor()
    await page.getByRole('button', { name: 'Keep 5 readings' }).click()
    await page.getByLabel('Your name').fill('Ana')
    await page.getByRole('button', { name: 'That is me' }).click()
    await page.getByRole('heading', { name: '5 readings are kept now.' }).waitFor()
    const [act] = await gateway.gateway.rooms.store.newest('act', 1)
    expect(act).toMatchObject({ act: 'import', by: 'Ana', file: 'invented-kiln-tab.txt' })
    expect(complaints).toEqual([])
  })

  it('asks what the file does not say, and understands the lines anew with the answer', async () => {
    const { page } = await opened('laptop')
    await page.getByLabel('Choose a file').setInputFiles(table('invented-could-be-either.csv'))
    await page.getByText('Could be either', { exact: false }).waitFor()
    expect(await page.getByRole('button', { name: 'Try the whole file' }).count()).toBe(0)
    await page.getByLabel('Dates are written').selectOption('mdy')
    await page.getByRole('cell', { name: '4 March 2026 10:00:00' }).waitFor()
    await page.getByLabel('Times are those of').fill('America/New_York')
    await page.getByLabel('Times are those of').press('Tab')
    await page.getByRole('cell', { name: '2026-03-04 15:00:00' }).waitFor()
    await page.getByRole('button', { name: 'Try the whole file' }).click()
    await page.getByRole('heading', { name: '2 readings would be kept.' }).waitFor()
  })

  it('says why it cannot read a file that is no table', async () => {
    const { page } = await opened('phone')
    await page
      .getByLabel('Choose a file')
      .setInputFiles({ name: 'letter.txt', mimeType: 'text/plain', buffer: Buffer.from('Dear friend') })
    await page.getByText('No column of this file holds a date and time', { exact: false }).waitFor()
  })

  it('lets a column without a name be anything, under a name that a topic can carry', async () => {
    const { page, gateway } = await opened('laptop')
    await page.getByLabel('Choose a file').setInputFiles(table('invented-no-head.csv'))
    await page.getByLabel('Is: Column 2').selectOption('temperature')
    await page.getByLabel('Of the instrument').fill('wax-store')
    await page.getByLabel('Of the instrument').press('Tab')
    await page.getByRole('button', { name: 'Try the whole file' }).click()
    await page.getByRole('button', { name: 'Keep 2 readings' }).click()
    await page.getByLabel('Your name').fill('Ana')
    await page.getByRole('button', { name: 'That is me' }).click()
    await page.getByRole('heading', { name: '2 readings are kept now.' }).waitFor()
    expect(await gateway.gateway.rooms.store.readingsOf('wax-store.temperature')).toBe(2)
  })
})

describe('taking out', () => {
  it('gives a file of the chosen series and days, and says before how much it will be', async () => {
    const { gateway, page } = await opened('laptop')
    for (let i = 0; i < 30; i++)
      await gateway.publish('room-air', { at: Date.UTC(2026, 10, 25, 8, i), celsius: 21 + i / 100 })
    await page.reload()
    await page.getByLabel('Room air, temperature').check()
    await page.getByText(/^30 readings, about \d/).waitFor()
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('link', { name: 'Take one series' }).click(),
    ])
    expect(download.suggestedFilename()).toBe('cirewatch-room-air.temperature-2026-11-18-2026-11-26.csv')
    const text = readFileSync(await download.path(), 'utf8').split('\r\n')
    expect(text).toHaveLength(32)
    // The size that was promised is that of the file, to a tenth.
    const promised = (await page.getByText(/^30 readings, about/).textContent()) ?? ''
    const [, amount = '', unit] = /about ([\d.]+) (bytes|kB)/.exec(promised) ?? []
    const bytes = Number(amount) * (unit === 'kB' ? 1_000 : 1)
    expect(Math.abs(bytes - text.join('\r\n').length) / bytes).toBeLessThan(0.1)
  })
})
