/** `npm run simulate`: the instruments of a scene against any broker. */
import { pacedClock, worldNow } from './clock.ts'
import { Fleet } from './fleet.ts'
import { flagsOf, numberFlag, paceMax, UsageFault } from './flags.ts'
import { liveOn } from './live.ts'
import { sceneNamed, scenes } from './scenes/index.ts'

function help(): string {
  const list = scenes.map((s) => `  ${s.name.padEnd(10)} ${s.sentence}`).join('\n')
  return `Usage: npm run simulate -- --scene NAME [--broker URL] [--pace N] [--seed N] [--name NAME --password-env VARIABLE]\nScenes:\n${list}`
}

function planOf(args: readonly string[]) {
  const flags = flagsOf(args, ['scene', 'broker', 'pace', 'seed', 'name', 'password-env'])
  const scene = sceneNamed(flags.scene ?? 'demo')
  if (scene === undefined) throw new UsageFault(`There is no scene ${flags.scene}.\n${help()}`)
  const variable = flags['password-env']
  const password = variable === undefined ? undefined : process.env[variable]
  if (variable !== undefined && password === undefined) throw new UsageFault(`The variable ${variable} is not set.`)
  return {
    scene,
    broker: flags.broker ?? 'mqtt://127.0.0.1:1883',
    pace: numberFlag('pace', flags.pace, 1, 0.1, paceMax),
    seed: numberFlag('seed', flags.seed, 1, 0, 2 ** 31),
    ...(flags.name === undefined ? {} : { username: flags.name }),
    ...(password === undefined ? {} : { password }),
  }
}

async function simulate(args: readonly string[]): Promise<number> {
  if (args.includes('--help')) {
    console.log(help())
    return 0
  }
  const plan = planOf(args)
  const beginAt = Math.floor(worldNow() / 5_000) * 5_000
  const { world } = plan.scene.build(beginAt, plan.seed)
  let fleet: Fleet
  try {
    fleet = await Fleet.connect(world, plan)
  } catch (cause) {
    console.error(
      `No broker answers at ${plan.broker}: ${cause instanceof Error ? cause.message || String(cause) : String(cause)}.`,
    )
    return 1
  }
  let stop = false
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => (stop = true))
  console.log(`${plan.scene.sentence} ${world.probes.length} instruments publish to ${plan.broker}; Ctrl-C ends it.`)
  await liveOn({ world, fleet, clock: pacedClock(beginAt, plan.pace), from: beginAt, stopped: () => stop })
  await fleet.close()
  return 0
}

try {
  process.exitCode = await simulate(process.argv.slice(2))
} catch (cause) {
  if (!(cause instanceof UsageFault)) throw cause
  console.error(cause.message)
  process.exitCode = 2
}
