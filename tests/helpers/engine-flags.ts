/** What `npm start` tells the engine: a gateway that is measured must be the one that people run. */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'

/** Found from the sources as well as from what is built of them. */
function packageFile(): string {
  const here = import.meta.dirname
  const roots = [join(here, '../..'), join(here, '../../..')]
  return join(roots.find((root) => readable(join(root, 'package.json'))) ?? here, 'package.json')
}

function readable(file: string): boolean {
  try {
    readFileSync(file)
    return true
  } catch {
    return false
  }
}

const { scripts } = JSON.parse(readFileSync(packageFile(), 'utf8')) as { scripts: { start: string } }

export const engineFlags: readonly string[] = scripts.start.split(' ').filter((word) => word.startsWith('--'))
