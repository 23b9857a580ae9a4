/** `npm run cirewatch -- VERB`: small tools around a gateway. */
import { readFileSync } from 'node:fs'
import { explainFoundry, Foundry } from '../shared/contract/index.ts'
import { ConfigRefusal, readConfig, shownConfig } from './config.ts'

const exitUsage = 2
const exitConfig = 78

const usage = `Usage: npm run cirewatch -- VERB
  check-config [FLAGS]     says whether the settings can be used
  print-config [FLAGS]     prints the settings as they come out, secrets left out
  check-foundry FILE       says whether a foundry document is valid, and every fault with its place
`

function say(text: string): void {
  process.stdout.write(`${text}\n`)
}

function checkFoundry(path: string | undefined): number {
  if (path === undefined) {
    process.stderr.write('check-foundry needs the FILE that holds the document.\n')
    return exitUsage
  }
  let document: unknown
  try {
    document = JSON.parse(readFileSync(path, 'utf8'))
  } catch (error) {
    const missing = error instanceof Error && 'code' in error
    process.stderr.write(
      missing ? `There is no readable file ${path}.\n` : `${path} is not JSON: ${String((error as Error).message)}.\n`,
    )
    return exitUsage
  }
  const parsed = Foundry.safeParse(document)
  if (parsed.success) {
    const { stations, instruments, recipes } = parsed.data
    say(`Valid: ${stations.length} stations, ${instruments.length} instruments, ${recipes.length} recipes.`)
    return 0
  }
  for (const { sentence } of explainFoundry(parsed.error, document)) process.stderr.write(`${sentence}\n`)
  return exitConfig
}

function run([verb, ...rest]: string[]): number {
  switch (verb) {
    case '--help':
    case 'help':
      say(usage)
      return 0
    case 'check-config':
      readConfig(rest, process.env)
      say('The settings can be used.')
      return 0
    case 'print-config':
      say(JSON.stringify(shownConfig(readConfig(rest, process.env)), null, 2))
      return 0
    case 'check-foundry':
      return checkFoundry(rest[0])
    default:
      process.stderr.write(verb === undefined ? usage : `There is no verb "${verb}".\n${usage}`)
      return exitUsage
  }
}

try {
  process.exitCode = run(process.argv.slice(2))
} catch (error) {
  if (!(error instanceof ConfigRefusal)) throw error
  process.stderr.write(`${error.message}\n`)
  process.exitCode = exitConfig
}
