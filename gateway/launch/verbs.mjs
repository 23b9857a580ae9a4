/** What each verb of the launcher does once everything is installed and built. */
import { existsSync, readdirSync } from 'node:fs'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { buildAll, buildIsFresh, tool } from './build.mjs'
import { installModules, modulesAreFresh } from './install.mjs'
import { alone } from './lock.mjs'
import { at, buildFolder } from './place.mjs'
import { confess, say, Trouble } from './say.mjs'

/** @type {Record<string, (args: readonly string[]) => Promise<void>>} */
const verbs = {
  start: (args) => become('gateway/main.js', args),
  demo: (args) => become('simulators/demo.js', args),
  simulate: (args) => become('simulators/main.js', args),
  cirewatch: (args) => become('gateway/command.js', args),
  bench,
  build: async () => say('Everything is built.'),
}

/**
 * @param {string | undefined} verb
 * @param {readonly string[]} args
 */
export async function launch(verb, args) {
  try {
    const does = verb !== undefined && Object.hasOwn(verbs, verb) ? verbs[verb] : undefined
    if (does === undefined) {
      throw new Trouble(`"${verb ?? ''}" is no command of Cirewatch; it knows ${Object.keys(verbs).join(', ')}.`, 2)
    }
    if (verb === 'bench') mustBeBench(args[0])
    await prepare()
    await does(args)
  } catch (error) {
    confess(error)
  }
}

/** Everything installed and built, by us or by another launcher that was first. */
export async function prepare() {
  if (modulesAreFresh() && buildIsFresh()) return
  await oneAtATime(async () => {
    await installModules()
    await buildAll()
  })
}

/** Only installed: for checks, which read the sources themselves. */
export async function prepareModules() {
  if (!modulesAreFresh()) await oneAtATime(installModules)
}

/** @param {() => Promise<void>} work */
function oneAtATime(work) {
  const lock = join(buildFolder, '.launcher')
  return alone(lock, work, () => say('Another Cirewatch command is installing or building; waiting for it ...'))
}

/**
 * Goes on as that program in this very process: signals reach it, its exit code is ours, and no second Node takes up memory.
 * @param {string} program below build/
 * @param {readonly string[]} args
 */
async function become(program, args) {
  const file = join(buildFolder, program)
  process.argv = [process.execPath, file, ...args]
  await import(pathToFileURL(file).href)
}

/** Benches are compiled by plain tsc like everything else: nothing may stand between the clock and the code. @param {readonly string[]} args */
async function bench([name, ...args]) {
  await tool('typescript/bin/tsc', ['-p', 'tests/bench'], 'The benches do not compile')
  await become(`tests/bench/${name}.js`, args)
}

/** @param {string | undefined} name */
function mustBeBench(name) {
  const files = existsSync(at('tests/bench')) ? readdirSync(at('tests/bench')) : []
  const names = files.filter((file) => file.endsWith('.ts')).map((file) => file.slice(0, -'.ts'.length))
  if (name !== undefined && names.includes(name)) return
  throw new Trouble(
    `Say which bench: npm run bench -- NAME, where NAME is ${names.join(' or ') || 'still to be written'}.`,
    2,
  )
}
