/** `npm test`, `npm run check` and `npm run storm`: from a fresh clone to one last line that says how many promises held. */
import { confess } from '../gateway/launch/say.mjs'
import { prepare, prepareModules } from '../gateway/launch/verbs.mjs'
import { runChecks } from './run/checks.mjs'
import { fetchOutside } from './run/outside.mjs'
import { add, lastLine, nothing } from './run/verdict.mjs'
import { runVitest } from './run/vitest.mjs'

const words = process.argv.slice(2)
const what = words[0] === 'check' || words[0] === 'storm' ? words[0] : 'test'
/** Everything else is for vitest: `npm test -- tests/store` runs one room. */
const filters = words[0] === what ? words.slice(1) : words
let verdict = nothing

/** Each step adds to the verdict; one that throws ends the run, but what was found before is still told. */
const steps = {
  check: [runChecks],
  test: [runChecks, build, outsideTests('vitest.config.ts')],
  storm: [build, outsideTests('tests/storm-long/vitest.config.ts')],
}

async function build() {
  await prepare()
  return { ...nothing, passed: 1 }
}

/** @param {string} config */
function outsideTests(config) {
  return async () => {
    await fetchOutside()
    return runVitest(config, filters)
  }
}

try {
  await prepareModules()
  for (const step of steps[what]) verdict = add(verdict, await step())
} catch (error) {
  confess(error)
  verdict = add(verdict, { ...nothing, failed: 1 })
}
console.log(lastLine(verdict))
process.exitCode ||= verdict.failed === 0 && verdict.passed > 0 ? 0 : 1
