/** The mail of one night, put together from its review as it is told now. */
import { type Foundry, mailLateToldMs, type NightReview } from '../../shared/contract/index.ts'
import type { Clock, EpochMs } from '../../shared/time.ts'
import { nightLetter, speechOf } from '../../shared/words/index.ts'
import { nightCsv } from '../record/night/night-csv.ts'
import type { Store } from '../store/store.ts'
import type { NightDue } from './due.ts'
import { type Message, messageOf } from './message.ts'
import type { MailPlan } from './settings.ts'

export interface ComposeParts {
  plan: Pick<MailPlan, 'pages' | 'unit'>
  store: Pick<Store, 'newest'>
  clock: Clock
  foundry: () => Foundry
  review: (night: string) => Promise<NightReview>
}

/** Starts that are looked through for one that says we did not run at the hour. */
const startsRead = 50

export async function composed({ date, dueAt }: NightDue, parts: ComposeParts): Promise<Message> {
  const { clock, plan, foundry, review: reviewOf, store } = parts
  const review = await reviewOf(date)
  const now = clock.now()
  const link = plan.pages === null ? null : `${plan.pages}/night/${date}`
  const late = now - dueAt < mailLateToldMs ? null : { dueAt, wasOff: await wasOff(store, dueAt) }
  const letter = nightLetter(review, speechOf(foundry(), plan.unit), { site: foundry().site, now, link, late })
  return messageOf(letter, [
    { name: `night-${date}.csv`, type: 'text/csv; charset=utf-8', text: nightCsv(review) },
    { name: `night-${date}.json`, type: 'application/json; charset=utf-8', text: JSON.stringify(review) },
  ])
}

async function wasOff(store: Pick<Store, 'newest'>, at: EpochMs): Promise<boolean> {
  const starts = await store.newest('start', startsRead)
  return starts.some((start) => start.downSince !== null && start.downSince <= at && at < start.at)
}
