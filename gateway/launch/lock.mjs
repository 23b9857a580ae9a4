/** Lets only one launcher at a time install or build; a launcher that died holding the lock does not keep the others out. */
import { mkdirSync, readFileSync, statSync, unlinkSync, utimesSync, writeFileSync } from 'node:fs'
import { dirname } from 'node:path'
import { every, now, wait } from './clock.mjs'

/** How often the holder shows that it lives, and after how long without a sign it counts as dead. */
const signMs = 2_000
const deadMs = 30_000
const lookMs = 200

/**
 * Runs `work` while no other launcher does; `onWait` is called once if that means waiting.
 * @template T
 * @param {string} path
 * @param {() => Promise<T>} work
 * @param {() => void} [onWait]
 * @returns {Promise<T>}
 */
export async function alone(path, work, onWait = () => {}) {
  mkdirSync(dirname(path), { recursive: true })
  let waited = false
  while (!create(path)) {
    if (holderIsDead(path)) takeAway(path)
    else {
      if (!waited) onWait()
      waited = true
      await wait(lookMs)
    }
  }
  const stop = every(signMs, () => touch(path))
  try {
    return await work()
  } finally {
    stop()
    unlink(path)
  }
}

/** @param {string} path */
function create(path) {
  try {
    writeFileSync(path, String(process.pid), { flag: 'wx' })
    return true
  } catch (error) {
    if (codeOf(error) === 'EEXIST') return false
    throw error
  }
}

/** @param {string} path */
function holderIsDead(path) {
  try {
    const age = now() - statSync(path).mtimeMs
    const pid = Number(readFileSync(path, 'utf8'))
    // A file without a number is being written this moment. A future mtime is a clock that stepped: the number decides.
    if (age > deadMs) return true
    return pid > 0 && !isAlive(pid)
  } catch {
    return false
  }
}

/** @param {number} pid */
function isAlive(pid) {
  try {
    process.kill(pid, 0)
    return true
  } catch (error) {
    return codeOf(error) === 'EPERM'
  }
}

/** Two who wait may both find the holder dead: only the one that gets the guard looks again and takes the lock away. @param {string} path */
function takeAway(path) {
  const guard = `${path}.guard`
  if (!create(guard)) {
    if (holderIsDead(guard)) unlink(guard)
    return
  }
  if (holderIsDead(path)) unlink(path)
  unlink(guard)
}

/** @param {string} path */
function unlink(path) {
  try {
    unlinkSync(path)
  } catch (error) {
    if (codeOf(error) !== 'ENOENT') throw error
  }
}

/** @param {string} path */
function touch(path) {
  try {
    const at = new Date(now())
    utimesSync(path, at, at)
  } catch {
    // Somebody took it away because we gave no sign for too long: the work goes on and its result is checked afterwards.
  }
}

/** @param {unknown} error */
const codeOf = (error) => (error instanceof Error && 'code' in error ? error.code : undefined)
