/** Brings the packages in node_modules in line with the lockfile, and says in one sentence what to do when that cannot be. */
import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { delimiter, join } from 'node:path'
import { every } from './clock.mjs'
import { at, buildFolder, modulesFolder } from './place.mjs'
import { npm, run, wasStopped } from './run.mjs'
import { say, Trouble } from './say.mjs'
import { modulesStamp, sameModules } from './stamp.mjs'

const stampFile = join(modulesFolder, '.cirewatch-stamp')

export function modulesAreFresh() {
  return textOf(stampFile) === wantedStamp()
}

/** Call it while holding the launcher's lock. */
export async function installModules() {
  if (modulesAreFresh()) return
  if (await installedByHand()) return writeFileSync(stampFile, wantedStamp())
  say('Installing what Cirewatch is built from (only the first time, and after an update; one to three minutes) ...')
  let seconds = 0
  const stop = every(20_000, () => {
    seconds += 20
    say(`... still installing (${seconds} s)`)
  })
  // The build needs the development packages too, whatever NODE_ENV says.
  const { code, output, missing } = await npm(['ci', '--no-audit', '--no-fund', '--include=dev'], { quiet: true })
  stop()
  if (wasStopped(code)) throw new Trouble('Installing was stopped; the next start begins it anew.', code)
  if (missing)
    throw new Trouble(
      'npm was not found: install it beside Node.js (on Debian: sudo apt-get install npm), then try again.',
    )
  if (code !== 0) {
    const log = join(buildFolder, 'install.log')
    writeFileSync(log, output)
    throw new Trouble(
      `${whyInstallFailed(output, { hasCompiler: hasCompiler() })} What npm said is in build/install.log.`,
    )
  }
  if (!(await databaseLoads())) {
    throw new Trouble(
      'The database driver was installed but not built, probably because npm is set to ignore install scripts: ' +
        'run "npm rebuild better-sqlite3 --ignore-scripts=false", then try again.',
    )
  }
  writeFileSync(stampFile, wantedStamp())
}

/**
 * One sentence for a person who only wanted to start the program.
 * @param {string} output everything that npm said
 * @param {{ hasCompiler: boolean }} machine
 */
export function whyInstallFailed(output, machine) {
  if (/ENOSPC/.test(output))
    return 'The disk is full, so the packages could not be installed: make room, then try again.'
  if (/node-gyp|gyp ERR|prebuild-install/.test(output) && !machine.hasCompiler) {
    return (
      'The database driver has to be compiled on this machine, and no compiler was found: install one ' +
      '(on Debian: sudo apt-get install build-essential python3), then try again.'
    )
  }
  if (/ENOTFOUND|EAI_AGAIN|ECONNREFUSED|ECONNRESET|ETIMEDOUT|network/.test(output)) {
    return 'The packages could not be fetched because the network or the package registry did not answer: check the connection, then try again.'
  }
  if (/EACCES|EPERM|EROFS/.test(output)) {
    return 'The packages could not be written: this folder belongs to somebody else or is read-only.'
  }
  if (/can only install packages when|not in sync/.test(output)) {
    return 'package.json and package-lock.json disagree: run "npm install" once, then try again.'
  }
  return 'npm could not install the packages.'
}

function wantedStamp() {
  const machine = { platform: process.platform, arch: process.arch, abi: process.versions.modules }
  return modulesStamp(readFileSync(at('package-lock.json'), 'utf8'), machine)
}

/** A person who ran npm ci by hand does not wait for it a second time. */
async function installedByHand() {
  const installed = textOf(join(modulesFolder, '.package-lock.json'))
  return (
    installed !== undefined && sameModules(readFileSync(at('package-lock.json'), 'utf8'), installed) && databaseLoads()
  )
}

/** The one native package: it must have been built, and for this Node. */
async function databaseLoads() {
  const attempt = "new (require('better-sqlite3'))(':memory:').close()"
  return (await run(process.execPath, ['-e', attempt], { quiet: true })).code === 0
}

function hasCompiler() {
  const folders = (process.env.PATH ?? '').split(delimiter)
  const found = (/** @type {string} */ name) => folders.some((folder) => existsSync(join(folder, name)))
  return (
    process.platform === 'win32' ||
    (['cc', 'gcc', 'clang'].some(found) && ['c++', 'g++', 'clang++'].some(found) && found('make'))
  )
}

/** @param {string} file */
function textOf(file) {
  try {
    return readFileSync(file, 'utf8')
  } catch {
    return undefined
  }
}
