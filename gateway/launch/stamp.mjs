/** Stamps: short texts that change whenever what they stand for changes. Pure, so that their promises can be tested. */
import { createHash } from 'node:crypto'

/**
 * What the installed packages must answer to: the lockfile, and the machine and Node for which native code was built.
 * @param {string} lockfile its text
 * @param {{ platform: string, arch: string, abi: string }} machine
 */
export function modulesStamp(lockfile, machine) {
  return `${sha256([lockfile])} ${machine.platform}-${machine.arch} abi-${machine.abi}`
}

/**
 * One stamp for many files, whatever the order in which they were found.
 * @param {readonly { path: string, content: string | Uint8Array }[]} files
 */
export function sourcesStamp(files) {
  const sorted = [...files].sort((a, b) => (a.path < b.path ? -1 : a.path > b.path ? 1 : 0))
  // The lengths stand between the parts, so that a text moving from one file to the next is seen.
  return sha256(sorted.flatMap((f) => [f.path, '\0', String(f.content.length), '\0', f.content]))
}

/**
 * Whether packages that somebody installed by hand are the ones of the lockfile. Optional ones for other machines may be absent.
 * @param {string} lockfile text of package-lock.json
 * @param {string} installed text of the list that npm leaves in node_modules
 */
export function sameModules(lockfile, installed) {
  const want = packagesOf(lockfile)
  const have = packagesOf(installed)
  if (want === undefined || have === undefined) return false
  const wanted = Object.entries(want).filter(([path]) => path !== '')
  const complete = wanted.every(([path, p]) =>
    have[path] === undefined
      ? p.optional === true
      : have[path].version === p.version && have[path].integrity === p.integrity,
  )
  return complete && wanted.length > 0 && Object.keys(have).every((path) => path === '' || want[path] !== undefined)
}

/**
 * When the program was built, as far as a clock can be held to it: never later than now, because a gateway that reads
 * an earlier time than this knows that its clock is wrong.
 * @param {{ committedAt: number | null, newestSourceAt: number, now: number }} known
 */
export function builtAt({ committedAt, newestSourceAt, now }) {
  return Math.floor(Math.min(committedAt ?? newestSourceAt, now))
}

/**
 * @param {string} text
 * @returns {Record<string, { version?: string, integrity?: string, optional?: boolean }> | undefined}
 */
function packagesOf(text) {
  try {
    return JSON.parse(text).packages ?? undefined
  } catch {
    return undefined
  }
}

/** @param {readonly (string | Uint8Array)[]} parts */
function sha256(parts) {
  const hash = createHash('sha256')
  for (const part of parts) hash.update(part)
  return hash.digest('hex')
}
