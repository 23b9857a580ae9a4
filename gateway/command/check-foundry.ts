/** `check-foundry`: whether a foundry document is valid, before it is given to a gateway. */
import { readFileSync } from 'node:fs'
import { explainFoundry, Foundry } from '../../shared/contract/index.ts'
import { exitConfig, exitDone, exitUsage, say, tell, UsageRefusal, type Verb } from './verb.ts'

export const checkFoundry: Verb = {
  name: 'check-foundry',
  words: 'FILE',
  does: 'says whether a foundry document is valid, and every fault with its place',
  run([path]) {
    if (path === undefined) throw new UsageRefusal('check-foundry needs the FILE that holds the document.')
    let document: unknown
    try {
      document = JSON.parse(readFileSync(path, 'utf8'))
    } catch (error) {
      const missing = error instanceof Error && 'code' in error
      tell(missing ? `There is no readable file ${path}.` : `${path} is not JSON: ${String((error as Error).message)}.`)
      return exitUsage
    }
    const parsed = Foundry.safeParse(document)
    if (parsed.success) {
      const { stations, instruments, recipes } = parsed.data
      say(`Valid: ${stations.length} stations, ${instruments.length} instruments, ${recipes.length} recipes.`)
      return exitDone
    }
    for (const { sentence } of explainFoundry(parsed.error, document)) tell(sentence)
    return exitConfig
  },
}
