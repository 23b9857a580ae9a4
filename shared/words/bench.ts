/** What the bench is told, in one sentence: which coat, now, and in how many minutes. Pure. */
import type { CannotTellWhy, CoatingView, PotView, Reach, Run, WaxRecipe, WindowOutlook } from '../contract/index.ts'
import { type EpochMs, minuteMs } from '../time.ts'
import { limitTemperature, type Speech, temperature, temperatureSpan } from './speech.ts'

export interface BenchWord {
  says: string
  /** The same for a narrow screen, where it is longer than that bears. */
  short?: string
  /** What stands behind it, smaller. */
  aside: string
  /** How urgent: nothing to do, something may be done now, something is wrong. */
  tone: 'calm' | 'now' | 'wrong'
}

export const cannotTellWords: Record<CannotTellWhy, string> = {
  'too-little-seen': 'too little was seen of it yet',
  unseen: 'the wax cannot be seen',
  'hardly-moves': 'it hardly moves',
  disturbed: 'something was just done to it',
  congealing: 'it is about to congeal, and this pot has not shown how long that takes',
  'too-far': 'it is too far off',
}

/** Whole minutes as people count down: never 0 while it is not yet. */
export function minutesLeft(at: EpochMs, now: EpochMs): number {
  return Math.max(0, Math.ceil((at - now) / minuteMs - 1e-9))
}

/** `4 min (3–6)`; the range is left out where it is that minute. */
export function inMinutes(reach: Extract<Reach, { is: 'reaches' }>, now: EpochMs): string {
  const [mid, least, most] = [reach.at, reach.earliest, reach.latest].map((at) => minutesLeft(at, now))
  const range = least === most ? '' : ` (${least}–${most})`
  return mid === 0 ? `less than a minute${range}` : `${mid} min${range}`
}

const shortName = (name: string) => name.split(',')[0] ?? name
const inSentence = (name: string) => `${name.charAt(0).toLowerCase()}${name.slice(1)}`

function stays({ stays: span }: WindowOutlook): string {
  if (span === null) return ''
  const minutes = Math.round(span.ms / minuteMs)
  return minutes < 1 ? ' and stays open less than a minute' : ` and stays open about ${minutes} min`
}

/** The pot from which the next coat opens first, of those that say when. */
function soonest(pots: readonly { name: string; view: PotView }[], coat: string) {
  const all = pots.flatMap(({ name, view }) =>
    view.windows.flatMap((w) => (w.coat === coat ? [{ name, view, window: w }] : [])),
  )
  const told = all.filter(({ window }) => window.opens.is === 'reaches')
  const at = ({ window: { opens } }: (typeof all)[number]) => (opens.is === 'reaches' ? opens.at : Infinity)
  return (
    told.reduce<(typeof all)[number] | undefined>(
      (best, one) => (best && at(best) <= at(one) ? best : one),
      undefined,
    ) ?? all[0]
  )
}

function waiting(view: CoatingView, name: string, now: EpochMs): BenchWord | null {
  const { wait } = view
  if (!wait) return null
  if (wait.earliestAt !== null && wait.earliestAt > now)
    return {
      says: `Wait ${minutesLeft(wait.earliestAt, now)} min: the last coat is still soft.`,
      aside: `${name} is next.`,
      tone: 'calm',
    }
  return null
}

function isLate({ wait }: CoatingView, now: EpochMs): boolean {
  return wait?.latestAt != null && now > wait.latestAt
}

function ofNext(
  view: CoatingView,
  recipe: WaxRecipe,
  pots: readonly { id: string; name: string; view: PotView }[],
  now: EpochMs,
  speech: Speech,
): BenchWord {
  const coat = recipe.coats.find((c) => c.id === view.next)
  if (!coat) return { says: 'Every coat is on.', aside: 'Close the run when the pattern is done.', tone: 'calm' }
  const soft = waiting(view, coat.name, now)
  if (soft) return soft
  const cold = isLate(view, now) ? 'The last coat is cold by now: look whether this one holds on it.' : ''
  const span = temperatureSpan(coat.window.fromC, coat.window.toC, speech)
  if (view.open === coat.id) {
    const from = pots.find((p) => p.id === view.openIn)
    const window = from?.view.windows.find((w) => w.coat === coat.id)
    const left = window?.shuts.is === 'reaches' ? `, for ${inMinutes(window.shuts, now)} more` : ''
    return {
      says: `${coat.name} may go on now${left}.`,
      short: `${shortName(coat.name)} now${left.replace(' more', '')}`,
      aside: cold || `${pots.length > 1 && from ? `From ${from.name}. ` : ''}Its window is ${span}.`,
      tone: 'now',
    }
  }
  const best = soonest(pots, coat.id)
  const { opens } = best?.window ?? {}
  if (best && opens?.is === 'reaches')
    return {
      says: `${coat.name} opens in ${inMinutes(opens, now)}${stays(best.window)}.`,
      short: `${shortName(coat.name)} in ${inMinutes(opens, now)}`,
      aside: cold || `${best.name} is at ${temperature(best.view.waxC ?? Number.NaN, speech)}; the window is ${span}.`,
      tone: 'calm',
    }
  if (!best || best.view.waxC === null)
    return {
      says: 'The wax cannot be seen.',
      aside: 'No window is called open. Go by the pot, not by this board.',
      tone: 'wrong',
    }
  const off = best.view.letDown?.find((w) => w.coat === coat.id)
  if (off && best.window.wax === 'above' && off.opens.is === 'reaches')
    return {
      says: `${best.name} is held. Switched off now, ${inSentence(coat.name)} would open in ${inMinutes(off.opens, now)}.`,
      short: `Held. Off now: ${inSentence(shortName(coat.name))} in ${inMinutes(off.opens, now)}`,
      aside: `It is at ${temperature(best.view.waxC, speech)}; the window is ${span}.`,
      tone: 'calm',
    }
  if (best.window.wax === 'below')
    return {
      says: `Too cool for ${inSentence(coat.name)}: warm the wax.`,
      aside: `${best.name} is at ${temperature(best.view.waxC, speech)}; the window is ${span}.`,
      tone: 'calm',
    }
  if (opens?.is === 'cannot-tell')
    return {
      says: `Nobody can say yet when ${inSentence(coat.name)} opens.`,
      aside:
        `${cannotTellWords[opens.why]}; the wax is at ${temperature(best.view.waxC, speech)}, the window is ${span}.`.replace(
          /^./,
          (c) => c.toUpperCase(),
        ),
      tone: 'calm',
    }
  return {
    says: `${best.name} is held above ${inSentence(coat.name)}.`,
    aside: `It does not come down by itself: ${temperature(best.view.waxC, speech)}; the window is ${span}.`,
    tone: 'calm',
  }
}

function ofConditioning(name: string, view: PotView, now: EpochMs, speech: Speech): BenchWord {
  const at = view.waxC === null ? '' : `The wax is at ${temperature(view.waxC, speech)}.`
  const c = view.conditioning
  switch (c.is) {
    case 'unseen':
      return { says: `The wax in ${name} cannot be seen.`, aside: 'Go by the pot, not by this board.', tone: 'wrong' }
    case 'not-melted':
      return { says: `${name} has not melted through.`, aside: at, tone: 'calm' }
    case 'outside':
      return { says: `${name} is ${c.side === 'below' ? 'below' : 'above'} its conditioning.`, aside: at, tone: 'calm' }
    case 'holding':
      return { says: `${name} is conditioned in ${minutesLeft(c.readyAt, now)} min.`, aside: at, tone: 'calm' }
    case 'stir':
      return { says: `Stir ${name}: then it is conditioned.`, aside: at, tone: 'now' }
    case 'conditioned':
      return { says: `${name} is conditioned.`, aside: `${at} Start a pattern when you are ready.`.trim(), tone: 'now' }
    case 'no-recipe':
      return {
        says:
          view.waxC === null
            ? `The wax in ${name} cannot be seen.`
            : `${name} is at ${temperature(view.waxC, speech)}.`,
        aside: 'Start a pattern to see which coat may go on.',
        tone: view.waxC === null ? 'wrong' : 'calm',
      }
  }
}

/** One sentence for one bench. `pots`: those that the run takes from, or the one that is looked at. */
export function benchWord(
  run: Run | undefined,
  recipe: WaxRecipe | undefined,
  pots: readonly { id: string; name: string; view: PotView }[],
  now: EpochMs,
  speech: Speech,
): BenchWord {
  const runaway = pots.find(({ view }) => view.ceiling !== null)
  if (runaway?.view.ceiling) {
    const { at, ceilingC } = runaway.view.ceiling
    return {
      says: `${runaway.name} does not stop: ${limitTemperature(ceilingC, speech)} in ${minutesLeft(at, now)} min.`,
      aside:
        'Heat off at the wall, lid on. Never water. Where there is smoke or flame: leave, and call the fire service.',
      tone: 'wrong',
    }
  }
  const [first] = pots
  if (run?.progress.kind === 'coating' && recipe) return ofNext(run.progress, recipe, pots, now, speech)
  return first
    ? ofConditioning(first.name, first.view, now, speech)
    : { says: 'There is no pot here.', aside: '', tone: 'wrong' }
}
