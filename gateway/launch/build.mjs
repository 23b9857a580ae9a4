/** Builds gateway, simulators and dashboard into build/ when a source has changed since the last time. */
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { join, relative, sep } from 'node:path'
import { now } from './clock.mjs'
import { at, buildFolder, root } from './place.mjs'
import { run, wasStopped } from './run.mjs'
import { say, Trouble } from './say.mjs'
import { builtAt, sourcesStamp } from './stamp.mjs'

const compiledRooms = ['gateway', 'shared', 'simulators']
const stampFile = join(buildFolder, '.stamp')

export function buildIsFresh() {
  return (
    existsSync(stampFile) &&
    readFileSync(stampFile, 'utf8') === sourcesStamp(sources()) &&
    allOutputs().every(existsSync)
  )
}

/** Call it while holding the launcher's lock. */
export async function buildAll() {
  if (buildIsFresh()) return
  say('Building Cirewatch (a few seconds) ...')
  const files = sources()
  mkdirSync(buildFolder, { recursive: true })
  rmSync(stampFile, { force: true })
  await bothOrTrouble([compile(), bundleDashboard()])
  removeOrphans()
  const version = JSON.parse(readFileSync(at('package.json'), 'utf8')).version
  const stamp = {
    version,
    builtAt: builtAt({ committedAt: await committedAt(), newestSourceAt: newestOf(files), now: now() }),
  }
  writeWhole(join(buildFolder, 'stamp.json'), `${JSON.stringify(stamp)}\n`)
  // Last of all, and of what was read before the work began: a source saved meanwhile makes the next start build again.
  writeWhole(stampFile, sourcesStamp(files))
}

/** Waits for both even if one fails: nothing may still be writing when the lock is given back. @param {Promise<void>[]} works */
async function bothOrTrouble(works) {
  for (const end of await Promise.allSettled(works)) if (end.status === 'rejected') throw end.reason
}

async function compile() {
  await tool('typescript/bin/tsc', ['-p', '.'], 'The TypeScript sources do not compile')
  if (scriptOutputs().every(existsSync)) return
  // Somebody deleted outputs that the compiler's memory still believes in.
  rmSync(join(buildFolder, '.tsbuildinfo'), { force: true })
  await tool('typescript/bin/tsc', ['-p', '.'], 'The TypeScript sources do not compile')
}

/** Built beside the old one and then put in its place, so that a gateway that is running never serves half of it. */
async function bundleDashboard() {
  const next = join(buildFolder, '.dashboard-next')
  const old = join(buildFolder, '.dashboard-old')
  const args = [
    'build',
    '--config',
    'dashboard/vite.config.ts',
    '--outDir',
    next,
    '--emptyOutDir',
    '--logLevel',
    'warn',
  ]
  await tool('vite/bin/vite.js', args, 'The dashboard could not be built')
  const live = join(buildFolder, 'dashboard')
  rmSync(old, { recursive: true, force: true })
  if (existsSync(live)) renameSync(live, old)
  renameSync(next, live)
  rmSync(old, { recursive: true, force: true })
}

/**
 * @param {string} script below node_modules
 * @param {readonly string[]} args
 * @param {string} complaint
 */
export async function tool(script, args, complaint) {
  const { code, output } = await run(process.execPath, [at('node_modules', script), ...args], { quiet: true })
  if (wasStopped(code)) throw new Trouble('Building was stopped; the next start begins it anew.', code)
  if (code !== 0) throw new Trouble(`${withoutStack(output)}\n${complaint}; what the compiler said stands above.`)
}

/** What a tool said, without the lines that tell where in the tool itself it was said. @param {string} output */
export function withoutStack(output) {
  const lines = output.split('\n').filter((line) => !/^\s+at .+[:)]\S*$/.test(line))
  return lines.join('\n').trim()
}

/** @returns {{ path: string, content: Buffer, changedAt: number }[]} */
function sources() {
  const folders = [...compiledRooms, 'dashboard'].flatMap((room) => walk(at(room)))
  return [...folders, at('tsconfig.json'), at('package-lock.json')].map((file) => ({
    path: relative(root, file).split(sep).join('/'),
    content: readFileSync(file),
    changedAt: statSync(file).mtimeMs,
  }))
}

/** @param {readonly { changedAt: number }[]} files */
const newestOf = (files) => files.reduce((newest, file) => Math.max(newest, file.changedAt), 0)

/** The commit's own time, which no copying of files changes; null where there is no history. */
async function committedAt() {
  if (!existsSync(at('.git'))) return null
  const { code, output } = await run('git', ['log', '-1', '--format=%ct'], { quiet: true })
  const seconds = Number(output.trim())
  return code === 0 && seconds > 0 ? seconds * 1_000 : null
}

function scriptOutputs() {
  const scripts = compiledRooms.flatMap((room) => walk(at(room))).filter((file) => /(?<!\.d)\.ts$/.test(file))
  return scripts.map((file) => join(buildFolder, relative(root, file).replace(/\.ts$/, '.js')))
}

const allOutputs = () => [
  ...scriptOutputs(),
  join(buildFolder, 'dashboard', 'index.html'),
  join(buildFolder, 'stamp.json'),
]

/** Outputs whose source is gone: left lying, they could still be imported. */
function removeOrphans() {
  for (const file of compiledRooms.flatMap((room) => walk(join(buildFolder, room)))) {
    const source = join(root, relative(buildFolder, file).replace(/\.js$/, '.ts'))
    if (file.endsWith('.js') && !existsSync(source)) rmSync(file)
  }
}

/**
 * @param {string} folder
 * @returns {string[]}
 */
function walk(folder) {
  if (!existsSync(folder)) return []
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name)
    return entry.isDirectory() ? walk(path) : [path]
  })
}

/** Whole or not at all: a reader never meets half a file. @param {string} file @param {string} text */
function writeWhole(file, text) {
  const half = `${file}.half`
  writeFileSync(half, text)
  renameSync(half, file)
}
