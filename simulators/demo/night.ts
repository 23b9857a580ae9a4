/** Lets the night before really happen, through the same instruments, broker and gateway, in stepped time. */
import { type EpochMs, minuteMs } from '../../shared/time.ts'
import { type Fleet, gather } from '../fleet.ts'
import type { People, World } from '../scenes/scene.ts'
import type { Hands } from './deeds.ts'
import type { LedGateway } from './gateway-child.ts'

/** One step of the night. Shorter than two intervals of any instrument, so that nothing arrives late. */
export const nightStepMs = 10_000

export interface NightPlan {
  gateway: LedGateway
  world: World
  people: People
  fleet: Fleet
  hands: Hands
  from: EpochMs
  to: EpochMs
  tell(at: EpochMs, line: string): void
  progress(at: EpochMs): void
  stopped(): boolean
}

/** While the gateway writes one step to disk, the bodies already move through the next. */
export async function passNight(plan: NightPlan): Promise<EpochMs> {
  const { gateway, world, people, fleet, from, to } = plan
  let at = from
  let next = gather(world, at, at + nightStepMs)
  while (at < to && !plan.stopped()) {
    const begin = at
    at += nightStepMs
    await gateway.lead(at, 0)
    await fleet.publish(next)
    next = at < to ? gather(world, at, at + nightStepMs) : []
    await fleet.settled()
    for (const deed of people.between(begin, at, world)) {
      const line = await plan.hands.act(deed)
      if (line !== null) plan.tell(at, line)
    }
    if (at % (10 * minuteMs) === 0) plan.progress(at)
  }
  return at
}
