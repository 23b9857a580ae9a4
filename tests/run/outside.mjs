/** Programs from outside that some tests speak to: a browser, another broker, a tracer. Fetched from Debian's packages when we may. */
import { existsSync } from 'node:fs'
import { delimiter, join } from 'node:path'
import { run } from '../../gateway/launch/run.mjs'
import { say, Trouble } from '../../gateway/launch/say.mjs'

/** What CIREWATCH_TEST_WITHOUT can leave out, the Debian packages behind it, and the programs that show it is there. */
export const outside = {
  browser: { packages: ['chromium'], programs: [['chromium', 'chromium-browser', 'google-chrome']] },
  broker: {
    packages: ['mosquitto', 'mosquitto-clients'],
    programs: [['mosquitto'], ['mosquitto_pub'], ['mosquitto_sub']],
  },
  tracer: { packages: ['strace'], programs: [['strace']] },
}

/** Debian starts its broker at once and at every boot: it would hold the port that Cirewatch's own broker listens on. */
const asRoot = (/** @type {readonly string[]} */ packages) => `
set -e
export DEBIAN_FRONTEND=noninteractive
if [ ! -e /usr/sbin/policy-rc.d ]; then
  printf '#!/bin/sh\\nexit 101\\n' > /usr/sbin/policy-rc.d
  chmod +x /usr/sbin/policy-rc.d
  trap 'rm -f /usr/sbin/policy-rc.d' EXIT
  trap 'exit 1' HUP INT TERM
fi
apt-get update -qq
apt-get install -y -qq --no-install-recommends ${packages.join(' ')}
if [ "${packages.includes('mosquitto')}" = true ] && [ -d /run/systemd/system ]; then systemctl disable --now mosquitto || true; fi
`

/** Debian keeps servers out of an ordinary person's PATH. */
const folders = [...(process.env.PATH ?? '').split(delimiter), '/usr/sbin', '/usr/local/sbin']

/** @param {keyof typeof outside} what */
export const isThere = (what) =>
  outside[what].programs.every((names) =>
    names.some((name) => folders.some((folder) => existsSync(join(folder, name)))),
  )

/** @param {string | undefined} text value of CIREWATCH_TEST_WITHOUT */
export function leftOut(text) {
  const words = (text ?? '')
    .split(',')
    .map((word) => word.trim())
    .filter((word) => word !== '')
  const unknown = words.filter((word) => !(word in outside))
  if (unknown.length === 0) return /** @type {(keyof typeof outside)[]} */ (words)
  throw new Trouble(
    `CIREWATCH_TEST_WITHOUT knows ${Object.keys(outside).join(', ')}; it says "${unknown.join(', ')}".`,
    2,
  )
}

/** Installs what is missing and may be installed. What stays missing is said here, and makes the tests that need it fail. */
export async function fetchOutside() {
  const without = leftOut(process.env.CIREWATCH_TEST_WITHOUT)
  if (without.length > 0)
    say(`Left out because CIREWATCH_TEST_WITHOUT says so: the tests that need ${without.join(', ')}.`)
  const kinds = /** @type {(keyof typeof outside)[]} */ (Object.keys(outside))
  const missing = kinds.filter((kind) => !without.includes(kind) && !isThere(kind))
  if (missing.length === 0) return
  const packages = missing.flatMap((kind) => outside[kind].packages)
  say(`Fetching ${packages.join(', ')} from the system's packages for the tests (a minute or two) ...`)
  const { output } = await installAsRoot(packages)
  for (const kind of missing.filter((k) => !isThere(k))) {
    say(
      `The tests that need ${outside[kind].packages.join(' and ')} will fail: it could not be installed here. ` +
        `Install it yourself (on Debian: sudo apt-get install ${outside[kind].packages.join(' ')}), ` +
        `or leave those tests out with CIREWATCH_TEST_WITHOUT=${kind}.`,
    )
  }
  if (missing.some((k) => !isThere(k)) && output !== '') say(output.trimEnd().split('\n').slice(-3).join('\n'))
}

/** @param {readonly string[]} packages */
async function installAsRoot(packages) {
  const script = asRoot(packages)
  if (!['/usr/bin/apt-get', '/bin/apt-get'].some(existsSync)) return { output: 'This system has no apt-get.' }
  if (process.getuid?.() === 0) return run('sh', ['-c', script], { quiet: true })
  return run('sudo', ['-n', 'sh', '-c', script], { quiet: true })
}
