/** Where things lie: the root of the house, and the folder into which it is built. */
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'

export const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..')
export const buildFolder = join(root, 'build')
export const modulesFolder = join(root, 'node_modules')

/** @param {string[]} steps path below the root */
export const at = (...steps) => join(root, ...steps)
