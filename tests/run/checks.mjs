/** The checks of `npm run check`: types, pages, lint, forgotten promises, walls between rooms, unused code. Each counts as one test. */
import { at } from '../../gateway/launch/place.mjs'
import { run } from '../../gateway/launch/run.mjs'
import { add, nothing } from './verdict.mjs'
import { checkWalls } from './walls.mjs'

/** @param {string} script below node_modules @param {string[]} args */
const tool = (script, args) => async () => {
  const { code, output } = await run(process.execPath, [at('node_modules', script), ...args], { quiet: true })
  return { held: code === 0, told: code === 0 ? '' : output }
}

/** @type {[string, () => Promise<{ held: boolean, told: string }>][]} */
const checks = [
  ['types of the product', tool('typescript/bin/tsc', ['-p', '.', '--noEmit', '--incremental', 'false'])],
  ['types of the tests', tool('typescript/bin/tsc', ['-p', 'tests'])],
  [
    'types of the pages',
    tool('svelte-check/bin/svelte-check', ['--tsconfig', 'dashboard/tsconfig.json', '--fail-on-warnings']),
  ],
  ['lint and format', tool('@biomejs/biome/bin/biome', ['ci', '--colors=off', '--max-diagnostics=30', '.'])],
  ['promises that nobody waits for', tool('eslint/bin/eslint.js', ['--max-warnings', '0', '.'])],
  ['walls between the rooms', checkWalls],
  ['unused code', tool('knip/bin/knip.js', ['--no-progress', '--no-config-hints'])],
]

/** How many checks run at once. Reason: two cores. */
const sideBySide = 2

export async function runChecks() {
  const waiting = [...checks]
  const verdicts = await Promise.all(Array.from({ length: sideBySide }, () => work(waiting)))
  return verdicts.reduce(add, nothing)
}

/** @param {typeof checks} waiting taken from the front until none is left */
async function work(waiting) {
  let verdict = nothing
  for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) {
    const [name, check] = next
    const { held, told } = await check()
    console.log(`${held ? 'held' : 'FAILED'}  ${name}${told === '' ? '' : `\n${told.trimEnd()}`}`)
    verdict = add(verdict, { passed: held ? 1 : 0, failed: held ? 0 : 1, skipped: 0 })
  }
  return verdict
}
