/** Goes on live: moves a scene with the clock and publishes what falls due, until it is stopped. */
import type { Clock, EpochMs } from '../shared/time.ts'
import { pause } from './clock.ts'
import { type Fleet, gather } from './fleet.ts'
import { type World, worldStepS } from './scenes/scene.ts'

export interface LivePlan {
  world: World
  fleet: Fleet
  clock: Clock
  /** Everything up to here has been published. */
  from: EpochMs
  /** Called after each turn with the span that has passed. */
  passed?(from: EpochMs, to: EpochMs): Promise<void>
  stopped(): boolean
}

/** Twice in each step of the world, but never busier than every 20 ms. */
function turnMs(pace: number): number {
  return Math.max(20, (worldStepS * 1_000) / pace / 2)
}

export async function liveOn({ world, fleet, clock, from, passed, stopped }: LivePlan): Promise<void> {
  let done = from
  while (!stopped()) {
    const now = clock.now()
    const messages = gather(world, done, now)
    await fleet.publish(messages)
    await fleet.settled()
    await passed?.(done, now)
    done = now
    await pause(turnMs(clock.pace))
  }
}
