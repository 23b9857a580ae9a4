/** Checks who imports whom, and that the checker really saw every module: one that sees nothing finds nothing. */
import { existsSync, readdirSync } from 'node:fs'
import { join } from 'node:path'
import { at } from '../../gateway/launch/place.mjs'
import { run } from '../../gateway/launch/run.mjs'

const houses = ['shared', 'gateway', 'simulators', 'dashboard', 'tests']

export async function checkWalls() {
  const { seen, broken, complaint } = await cruise(houses.filter((house) => existsSync(at(house))))
  if (complaint !== '') return { held: false, told: complaint }
  const unseen = houses.flatMap((house) => modulesIn(house)).filter((module) => !seen.has(module))
  const lines = [
    ...broken.map((b) => `  ${b.rule}: ${b.from} -> ${b.to}`),
    ...unseen.map((module) => `  not seen by the checker: ${module}`),
    `  ${seen.size} modules seen, ${broken.length} walls broken`,
  ]
  return { held: broken.length === 0 && unseen.length === 0 && seen.size > 0, told: lines.join('\n') }
}

/**
 * @param {readonly string[]} folders relative to `base`
 * @param {string} [base] the root of the tree that is looked at: ours, or one that a test made up
 * @returns {Promise<{ seen: Set<string>, broken: { rule: string, from: string, to: string }[], complaint: string }>}
 */
export async function cruise(folders, base = at()) {
  const args = ['--config', at('.dependency-cruiser.cjs'), '--output-type', 'json', ...folders]
  const { output, result } = await run(
    process.execPath,
    [at('node_modules/dependency-cruiser/bin/dependency-cruise.mjs'), ...args],
    {
      quiet: true,
      folder: base,
    },
  )
  try {
    const { modules, summary } = JSON.parse(result)
    const ours = modules
      .map((/** @type {any} */ m) => m.source)
      .filter((/** @type {string} */ s) => folders.includes(s.split('/')[0] ?? ''))
    const broken = summary.violations.map((/** @type {any} */ v) => ({ rule: v.rule.name, from: v.from, to: v.to }))
    return { seen: new Set(ours), broken, complaint: '' }
  } catch {
    return { seen: new Set(), broken: [], complaint: output || 'The checker of the walls said nothing.' }
  }
}

/** @param {string} folder @returns {string[]} */
function modulesIn(folder) {
  if (!existsSync(at(folder))) return []
  return readdirSync(at(folder), { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name)
    if (entry.isDirectory()) return modulesIn(path)
    return /(?<!\.d)\.(ts|mjs|svelte)$/.test(entry.name) ? [path.replaceAll('\\', '/')] : []
  })
}
