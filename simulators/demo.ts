/** `npm run demo`: a whole invented foundry, with last night already recorded and the day going on. */
import { mkdirSync, mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type EpochMs, hourMs } from '../shared/time.ts'
import { pacedClock, worldNow } from './clock.ts'
import { hands } from './demo/deeds.ts'
import { type LedGateway, Refused, startGateway } from './demo/gateway-child.ts'
import { nightStepMs, passNight } from './demo/night.ts'
import { Fleet } from './fleet.ts'
import { flagsOf, numberFlag, paceMax, UsageFault } from './flags.ts'
import { siteZone } from './foundry/index.ts'
import { liveOn } from './live.ts'
import { sceneNamed } from './scenes/index.ts'
import { lastEvening, siteTime } from './site-time.ts'

/** The story ends here at the latest, whatever the time is now: mid-morning, with a coat about to go on. */
const storyMsMax = 17 * hourMs

/** A gateway that has not ended by then is ended. Longer than it gives itself. */
const goodbyeMsMax = 12_000

const localTime = new Intl.DateTimeFormat('en-GB', {
  timeZone: siteZone,
  weekday: 'short',
  hour: '2-digit',
  minute: '2-digit',
})
const tell = (at: EpochMs, line: string) => console.log(`  ${localTime.format(at)}  ${line}`)

function planOf(args: readonly string[]) {
  const flags = flagsOf(args, ['pace', 'seed', 'data', 'http', 'mqtt', 'log-level'])
  return {
    pace: numberFlag('pace', flags.pace, 1, 0.1, paceMax),
    seed: numberFlag('seed', flags.seed, 1, 0, 2 ** 31),
    ...dataFolder(flags.data),
    pass: (['http', 'mqtt'] as const).flatMap((name) => (flags[name] === undefined ? [] : [`--${name}`, flags[name]])),
  }
}

/** A folder of our own that goes when we go, or an empty one that was named. */
function dataFolder(named: string | undefined): { data: string; ours: boolean } {
  if (named === undefined) return { data: mkdtempSync(join(tmpdir(), 'cirewatch-demo-')), ours: true }
  try {
    mkdirSync(named, { recursive: true })
    if (readdirSync(named).length > 0)
      throw new UsageFault(`The folder ${named} holds something already; the demo writes only into an empty one.`)
  } catch (cause) {
    if (cause instanceof UsageFault) throw cause
    throw new UsageFault(
      `The folder ${named} cannot be used: ${cause instanceof Error ? cause.message : String(cause)}.`,
    )
  }
  return { data: named, ours: false }
}

async function runDemo(
  plan: ReturnType<typeof planOf>,
  gateway: LedGateway,
  evening: EpochMs,
  stopped: () => boolean,
): Promise<void> {
  const end = Math.floor(Math.min(worldNow(), evening + storyMsMax) / nightStepMs) * nightStepMs
  const scene = sceneNamed('demo')
  if (scene === undefined) throw new Error('the demo scene is gone')
  const { world, people } = scene.build(evening, plan.seed)
  const atGateway = hands(gateway.http, process.env['CIREWATCH_BOOTSTRAP_TOKEN'])
  await gateway.lead(evening, 0)
  await atGateway.putFoundry(scene.foundry)
  const fleet = await Fleet.connect(world, { broker: gateway.mqtt, seed: plan.seed })
  console.log(
    `An invented foundry: ${world.probes.length} instruments at ${gateway.mqtt}. Its last night passes first.`,
  )

  const begun = worldNow()
  const progress = (at: EpochMs) => {
    if (process.stdout.isTTY) process.stdout.write(`  ${localTime.format(at)}\r`)
  }
  const at = await passNight({
    gateway,
    world,
    people,
    fleet,
    hands: atGateway,
    from: evening,
    to: end,
    tell,
    progress,
    stopped,
  })
  if (!stopped()) {
    await gateway.lead(at, plan.pace)
    console.log(
      `The night took ${Math.round((worldNow() - begun) / 1_000)} s. It is ${localTime.format(at)} in the foundry.`,
    )
    console.log(`\n  Open ${gateway.http.replace(/\/?$/, '/')}\n\nCtrl-C ends it.`)
    const passed = async (from: EpochMs, to: EpochMs) => {
      for (const deed of people.between(from, to, world)) await atGateway.act(deed)
    }
    await liveOn({ world, fleet, clock: pacedClock(at, plan.pace), from: at, passed, stopped })
  }
  await fleet.close()
}

async function demo(args: readonly string[]): Promise<number> {
  const plan = planOf(args)
  let stop = false
  const evening = lastEvening(worldNow(), siteTime(siteZone))
  const child = startGateway(['--data', plan.data, ...plan.pass], join(plan.data, 'gateway.log'), evening)
  // It ends cleanly when asked once; who asks twice, or waits too long, is not kept waiting.
  const ask = () => {
    child.stop(stop)
    if (!stop) pacedClock(0, 1).after(goodbyeMsMax, () => child.stop(true))
    stop = true
  }
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.on(signal, ask)
  try {
    const gateway = await child.ready
    const lost = child.ended.then((code) => {
      if (!stop) throw new Refused(`The gateway ended by itself with exit code ${code}.`, code)
    })
    await Promise.race([runDemo(plan, gateway, evening, () => stop), lost])
    if (!stop) ask()
    return await child.ended
  } catch (cause) {
    if (stop) return await child.ended
    if (!(cause instanceof Refused)) throw cause
    console.error(cause.message)
    return cause.exitCode
  } finally {
    if (plan.ours) rmSync(plan.data, { recursive: true, force: true })
  }
}

try {
  // Instruments that lost their broker would go on trying: the end is ours to say.
  process.exit(await demo(process.argv.slice(2)))
} catch (cause) {
  if (!(cause instanceof UsageFault)) throw cause
  console.error(cause.message)
  process.exitCode = 2
}
