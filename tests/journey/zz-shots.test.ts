/** Temporary: pictures to look at. */
import { test } from 'vitest'
import { AxeBuilder } from '@axe-core/playwright'
import { look, openBrowser, screens } from '../helpers/browser.ts'
import { fakeGateway } from '../helpers/fake-gateway.ts'
test('shots', async () => {
  const gateway = await fakeGateway()
  const browser = await openBrowser()
  const want = (process.env.SHOTS ?? '').split(',').filter(Boolean)
  const pages = { floor: '/', w1: '/station/W1', k2: '/station/K2', d1: '/station/D1', alarms: '/alarms', unreadable: '/unreadable', unclaimed: '/unclaimed', wall: '/wall' }
  for (const [name, path] of Object.entries(pages)) for (const screen of Object.keys(screens) as (keyof typeof screens)[]) for (const scheme of ['light', 'dark'] as const) {
    const key = `${name}-${screen}-${scheme}`
    if (want.length > 0 && !want.some((w) => key.startsWith(w))) continue
    const { page, complaints } = await look(browser, gateway.url + path, { screen, scheme })
    await page.waitForTimeout(1500)
    await page.screenshot({ path: `/tmp/shots/${key}.png`, fullPage: screen !== 'wall' })
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)
    if (complaints.length > 0 || wide > 0) console.log(key, complaints, 'overflow', wide)
    if (process.env.AXE) {
      const ctx = await new AxeBuilder({ page } as never).setLegacyMode(true).withTags(['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']).analyze()
      for (const v of ctx.violations) console.log(key, v.id, v.nodes.slice(0, 3).map((n) => n.html.slice(0, 140) + ' ' + n.failureSummary?.slice(0, 200)))
    }
    await page.close()
  }
  await browser.close()
  await gateway.close()
}, 300_000)
