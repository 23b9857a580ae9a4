/** The broker and the browser of the tests are the real ones: what they promise to a test holds. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type Mosquitto, mosquittoPub, mosquittoSub, startMosquitto } from '../helpers/broker.ts'
import { look, openBrowser } from '../helpers/browser.ts'
import { programOf, without } from '../helpers/outside.ts'

describe.skipIf(without('broker'))('mosquitto as the other broker', () => {
  let broker: Mosquitto
  beforeAll(async () => {
    broker = await startMosquitto()
  })
  afterAll(() => broker.remove())

  it('carries a message from one client to the other, and keeps a retained one over an orderly restart', async () => {
    const kept = await mosquittoPub(broker.port, ['-q', '1', '-r', '-t', 'room/kept', '-m', '{"celsius": 21.5}'])
    expect(kept).toEqual({ code: 0, out: '', err: '' })
    expect(await mosquittoSub(broker.port, 'room/#')).toEqual(['room/kept {"celsius": 21.5}'])
    await broker.again()
    expect(await mosquittoSub(broker.port, 'room/#')).toEqual(['room/kept {"celsius": 21.5}'])
  })

  it('is really gone when it is killed', async () => {
    await broker.stop('SIGKILL')
    expect((await mosquittoPub(broker.port, ['-q', '1', '-t', 'a', '-m', 'b'])).code).not.toBe(0)
    await broker.again()
  })
})

describe.skipIf(without('browser'))('a browser', () => {
  it('opens a page on the asked screen and hands over what the page complains about', async () => {
    const browser = await openBrowser()
    try {
      const html = '<title>wax</title><script>console.error("too hot")</script>'
      const { page, complaints } = await look(browser, `data:text/html,${encodeURIComponent(html)}`, {
        screen: 'phone',
        scheme: 'dark',
      })
      expect(await page.title()).toBe('wax')
      expect(await page.evaluate(() => [innerWidth, matchMedia('(prefers-color-scheme: dark)').matches])).toEqual([
        390,
        true,
      ])
      expect(complaints).toEqual(['too hot'])
    } finally {
      await browser.close()
    }
  })
})

describe('a program that is not installed', () => {
  it('is asked for in one sentence, with the package it comes in and the way to do without', () => {
    expect(() => programOf('broker', 'no-such-broker')).toThrow(
      'This test needs no-such-broker, and it is not installed: install it (on Debian: sudo apt-get install no-such-broker), ' +
        'or leave out what needs it with CIREWATCH_TEST_WITHOUT=broker.',
    )
  })
})
