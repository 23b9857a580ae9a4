/** The walls between the rooms bite: each forbidden import, tried in a small house that a test built, is caught by the rule meant for it. */
import { mkdir, symlink, writeFile } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import { makeFolder } from '../helpers/temp-folder.ts'
import { cruise } from '../run/walls.mjs'

const root = new URL('../..', import.meta.url).pathname

/** What may not be imported where, and the rule that says so. */
const forbidden: [rule: string, from: string, to: string][] = [
  ['shared-is-pure', 'shared/judge/a.ts', 'node:fs'],
  ['shared-is-pure', 'shared/judge/b.ts', 'gateway/clock.ts'],
  ['physics-knows-no-noun', 'shared/physics/a.ts', 'shared/contract/index.ts'],
  ['contract-knows-no-opinion', 'shared/contract/a.ts', 'shared/judge/index.ts'],
  ['series-and-words-know-no-judge', 'shared/series/a.ts', 'shared/judge/index.ts'],
  ['judge-has-no-words', 'shared/judge/c.ts', 'shared/words/index.ts'],
  ['one-door-contract', 'gateway/http/a.ts', 'shared/contract/limits.ts'],
  ['one-door-judge', 'gateway/foreman/a.ts', 'shared/judge/state.ts'],
  ['strangers-gateway', 'gateway/a.ts', 'simulators/main.ts'],
  ['strangers-dashboard', 'dashboard/a.ts', 'gateway/clock.ts'],
  ['strangers-simulators', 'simulators/a.ts', 'gateway/clock.ts'],
  ['strangers-gateway', 'gateway/b.ts', 'tests/helper.ts'],
  ['river-store', 'gateway/store/a.ts', 'gateway/intake/intake.ts'],
  ['river-intake', 'gateway/intake/a.ts', 'gateway/foreman/foreman.ts'],
  ['river-mqtt', 'gateway/mqtt/a.ts', 'gateway/live/hub.ts'],
  ['river-live', 'gateway/live/a.ts', 'gateway/foreman/foreman.ts'],
  ['river-record', 'gateway/record/a.ts', 'gateway/store/store.ts'],
  ['river-mail', 'gateway/mail/a.ts', 'gateway/foreman/foreman.ts'],
  ['river-upkeep', 'gateway/upkeep/a.ts', 'gateway/mail/post.ts'],
  ['mqtt-and-intake-do-not-judge', 'gateway/intake/b.ts', 'shared/judge/index.ts'],
  ['bodies-meet-in-assemble', 'gateway/http/b.ts', 'gateway/store/memory.ts'],
  ['store-bodies-are-strangers', 'gateway/store/sqlite/a.ts', 'gateway/store/memory.ts'],
  ['drawings-never-fetch', 'dashboard/chart/a.ts', 'dashboard/feed/api.ts'],
  ['one-room-for-better-sqlite3', 'gateway/intake/c.ts', 'better-sqlite3'],
  ['one-room-for-aedes', 'gateway/intake/d.ts', 'aedes'],
  ['one-room-for-mqtt', 'gateway/http/c.ts', 'mqtt'],
  ['one-room-for-fastify', 'gateway/live/b.ts', 'fastify'],
  ['one-room-for-pino', 'gateway/http/d.ts', 'pino'],
  ['one-room-for-uplot', 'shared/words/a.ts', 'uplot'],
  ['one-room-for-nodemailer', 'gateway/upkeep/b.ts', 'nodemailer'],
  ['resolvable', 'gateway/c.ts', 'gateway/nowhere.ts'],
]

/** What must stay open, or the house could not be lived in. */
const allowed: [from: string, to: string][] = [
  ['shared/judge/d.ts', 'shared/contract/index.ts'],
  ['shared/judge/e.ts', 'shared/physics/humidity.ts'],
  ['shared/contract/b.ts', 'zod'],
  ['gateway/assemble.ts', 'gateway/store/memory.ts'],
  ['gateway/store/sqlite/b.ts', 'better-sqlite3'],
  ['gateway/mqtt/b.ts', 'aedes'],
  ['gateway/http/e.ts', 'fastify'],
  ['gateway/foreman/b.ts', 'shared/judge/index.ts'],
  ['simulators/publish.ts', 'mqtt'],
  ['dashboard/b.ts', 'shared/words/index.ts'],
  ['tests/any.ts', 'gateway/store/memory.ts'],
]

const houses = ['shared', 'gateway', 'simulators', 'dashboard', 'tests']
let found: Awaited<ReturnType<typeof cruise>>
let home: string

const isOurs = (to: string): boolean => houses.some((house) => to.startsWith(`${house}/`))
const climb = (from: string): string => '../'.repeat(from.split('/').length - 1)

async function lay(path: string, text: string): Promise<void> {
  await mkdir(dirname(join(home, path)), { recursive: true })
  await writeFile(join(home, path), text)
}

beforeAll(async () => {
  const folder = await makeFolder()
  home = folder.path
  const imports = [...forbidden.map(([, from, to]) => [from, to] as const), ...allowed]
  for (const [, to] of imports) if (isOurs(to) && !to.endsWith('nowhere.ts')) await lay(to, 'export const it = 1\n')
  for (const [from, to] of imports) {
    await lay(from, `import * as it from '${isOurs(to) ? climb(from) + to : to}'\nexport const used = it\n`)
  }
  await lay('shared/series/ring-a.ts', "import { b } from './ring-b.ts'\nexport const a = (): unknown => b\n")
  await lay('shared/series/ring-b.ts', "import { a } from './ring-a.ts'\nexport const b = (): unknown => a\n")
  await lay('gateway/foreman/nobody.ts', 'export const needed = false\n')
  await lay(
    'tsconfig.json',
    '{ "compilerOptions": { "module": "nodenext", "allowImportingTsExtensions": true, "noEmit": true } }',
  )
  await lay('package.json', '{ "type": "module" }')
  await symlink(join(root, 'node_modules'), join(home, 'node_modules'))
  found = await cruise(houses, home)
  await folder.remove()
}, 60_000)

describe('the checker of the walls', () => {
  it('says nothing that is not a finding', () => {
    expect(found.complaint).toBe('')
  })

  it.each(forbidden)('catches with %s: %s imports %s', (rule, from) => {
    expect(found.broken.filter((b) => b.from === from).map((b) => b.rule)).toContain(rule)
  })

  it.each(allowed)('leaves the door open: %s imports %s', (from) => {
    expect(found.broken.filter((b) => b.from === from && b.rule !== 'no-orphan')).toEqual([])
  })

  it('catches a ring', () => {
    expect(found.broken.filter((b) => b.rule === 'no-ring').map((b) => b.from)).toContain('shared/series/ring-a.ts')
  })

  it('catches a file that nobody needs', () => {
    expect(found.broken).toContainEqual(
      expect.objectContaining({ rule: 'no-orphan', from: 'gateway/foreman/nobody.ts' }),
    )
  })

  it('sees every module of that house, so that silence means peace', () => {
    const laid = [...forbidden.map(([, from]) => from), ...allowed.map(([from]) => from)]
    expect(laid.filter((module) => !found.seen.has(module))).toEqual([])
  })
})
