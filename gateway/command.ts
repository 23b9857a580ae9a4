/** `npm run cirewatch -- VERB`: small tools around a gateway. */
import { exitConfig, exitDone, exitUsage, say, tell, UsageRefusal } from './command/verb.ts'
import { usage, verbs } from './command/verbs.ts'
import { ConfigRefusal } from './config.ts'
import { StoreRefusal } from './store/refusal.ts'

async function run([name, ...words]: string[]): Promise<number> {
  if (name === '--help' || name === 'help') {
    say(usage())
    return exitDone
  }
  const verb = verbs.find((v) => v.name === name)
  if (verb !== undefined) return verb.run(words)
  tell(name === undefined ? usage() : `There is no verb "${name}".\n${usage()}`)
  return exitUsage
}

try {
  process.exitCode = await run(process.argv.slice(2))
} catch (error) {
  const isRefusal = error instanceof ConfigRefusal || error instanceof StoreRefusal || error instanceof UsageRefusal
  if (!isRefusal) throw error
  tell(error.message)
  process.exitCode = error instanceof UsageRefusal ? exitUsage : exitConfig
}
