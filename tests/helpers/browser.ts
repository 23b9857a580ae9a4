/** A real browser for the journeys: Debian's Chromium, led by playwright-core. */
import { type Browser, chromium, type Page } from 'playwright-core'
import { programOf } from './outside.ts'

/** Nothing of the browser's own may reach out to the world or ask for a graphics card. */
const flags = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
]

export function openBrowser(): Promise<Browser> {
  return chromium.launch({
    executablePath: programOf('browser', 'chromium', 'chromium-browser', 'google-chrome'),
    args: flags,
  })
}

/** The three screens of the house. */
export const screens = {
  phone: { width: 390, height: 844 },
  laptop: { width: 1280, height: 800 },
  wall: { width: 1920, height: 1080 },
} as const

export interface Looked {
  page: Page
  /** What the page complained about: errors thrown, errors logged, policies broken. Empty when all is well. */
  complaints: string[]
}

/** Opens an address on one of the screens and listens for complaints from the first moment on. */
export async function look(
  browser: Browser,
  url: string,
  on: { screen: keyof typeof screens; scheme?: 'light' | 'dark'; reducedMotion?: boolean },
): Promise<Looked> {
  const page = await browser.newPage({
    viewport: screens[on.screen],
    colorScheme: on.scheme ?? 'light',
    reducedMotion: on.reducedMotion === true ? 'reduce' : 'no-preference',
    hasTouch: on.screen === 'phone',
  })
  const complaints: string[] = []
  page.on('pageerror', (error) => complaints.push(error.message))
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(message.text())
  })
  await page.goto(url)
  return { page, complaints }
}
