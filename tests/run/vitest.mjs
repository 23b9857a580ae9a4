/** Runs vitest in full view and reads its verdict from the report it leaves. */
import { existsSync, readFileSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { at, buildFolder } from '../../gateway/launch/place.mjs'
import { run } from '../../gateway/launch/run.mjs'
import { verdictOf } from './verdict.mjs'

const report = join(buildFolder, 'tests.json')

/**
 * @param {string} config
 * @param {readonly string[]} filters further words for vitest: files, -t NAME
 */
export async function runVitest(config, filters) {
  rmSync(report, { force: true })
  const args = ['run', '--config', config, '--reporter=default', '--reporter=json', `--outputFile.json=${report}`]
  const { code } = await run(process.execPath, [at('node_modules/vitest/vitest.mjs'), ...args, ...filters])
  return verdictOf(existsSync(report) ? readFileSync(report, 'utf8') : null, code)
}
