/** A burnout in words: why a soak is not counted, where the kiln is on its hill, when it will be ready, and what the trade asks after a loss of heat. */
import type {
  BurnoutRecipe,
  BurnoutView,
  HeatLoss,
  ReadyOutlook,
  Refusal,
  UndeclaredBurnout,
} from '../contract/index.ts'
import { type EpochMs, minuteMs } from '../time.ts'
import {
  duration,
  limitTemperature,
  moment,
  type Speech,
  temperature,
  temperatureDifference,
  timeOfDay,
} from './speech.ts'

export function refusedBecause(refused: Refusal, probe: string, speech: Speech): string {
  const name = speech.nameOf(probe)
  switch (refused) {
    case 'too-cool':
      return `${name} is below the hold`
    case 'too-hot':
      return `${name} is above what the recipe bears`
    case 'unseen':
      return `${name} cannot be seen`
    case 'missing':
      return `${probe.startsWith('no ') ? `there is ${probe}` : `${name} is not at this kiln`}`
  }
}

const cannotTell: Record<Extract<ReadyOutlook, { is: 'cannot-tell' }>['why'], string> = {
  'no-criterion': 'Its recipe does not say when the load is ready.',
  unseen: 'Nobody can say when it will be ready: its load has not been seen for half an hour.',
  'too-little-seen': 'Nobody can say yet when it will be ready: too little of the load was seen.',
  held: 'As it is now it never comes to where its recipe calls it ready.',
  unheated: 'Nobody can say when it will be ready while it is without heat.',
  missing: 'Nobody can say when it will be ready: no probe in the load tells.',
}

/** Ready when, in one sentence; it authorises no pour. */
export function readySays(ready: ReadyOutlook, now: EpochMs, speech: Speech): string {
  if (ready.is === 'ready')
    return `The load has been where its recipe wants it since ${moment(ready.since, now, speech)}.`
  if (ready.is === 'cannot-tell') return cannotTell[ready.why]
  return `Ready about ${moment(ready.at, now, speech)} (${timeOfDay(ready.earliest, speech)} to ${timeOfDay(ready.latest, speech)}, four times in five).`
}

/** Whether a booked pour will make it. */
export function pourSays(ready: ReadyOutlook, bookedAt: EpochMs, now: EpochMs, speech: Speech): string {
  const booked = moment(bookedAt, now, speech)
  if (ready.is === 'ready') return `${booked} will make it: the load is where its recipe wants it.`
  if (ready.is === 'cannot-tell') return `Nobody can say whether ${booked} will make it.`
  if (ready.latest <= bookedAt) return `${booked} will make it, nine times in ten.`
  const quarter = 15 * minuteMs
  const better = Math.ceil(ready.latest / quarter) * quarter
  if (ready.earliest > bookedAt) return `${booked} will not make it; ${moment(better, now, speech)} will.`
  return `${booked} may not make it; ${moment(better, now, speech)} is safe nine times in ten.`
}

/** On whose word time is credited. Said always: what the air says is not what the load says, and the recipe decides whom to ask. */
function creditors(view: BurnoutView, speech: Speech): string {
  return view.governing.length === 0
    ? 'its leading instrument'
    : view.governing.map((id) => speech.nameOf(id)).join(' and ')
}

const heading: Record<'stalled' | 'open' | 'unheated', string> = {
  stalled: 'Its temperature stopped moving',
  open: 'Its air fell as an open door lets it',
  unheated: 'It falls as a kiln falls that nobody heats',
}

/** Where on the hill it is. */
export function hillSays(view: BurnoutView, recipe: BurnoutRecipe | undefined, speech: Speech): string {
  const segments = recipe?.segments ?? []
  const segment = segments[view.segment]
  if (view.temperatureC === null) {
    const blind = view.stands?.probe
    return segment?.kind === 'hold' && blind
      ? `Nothing is credited: ${refusedBecause(view.stands?.refused ?? 'unseen', blind, speech)}.`
      : 'The kiln cannot be seen: nothing is credited.'
  }
  if (segments.length > 0 && view.segment >= segments.length)
    return `The recipe is through, at ${temperature(view.temperatureC, speech)}.`
  const odd =
    view.phase === 'stalled' || view.phase === 'open' || view.phase === 'unheated' ? `${heading[view.phase]}. ` : ''
  if (segment?.kind === 'hold') {
    const at = view.targetC === null ? '' : ` at ${limitTemperature(view.targetC, speech)}`
    const credited = `${duration(view.creditedMs)} of ${duration(segment.minutes * minuteMs)} credited by ${creditors(view, speech)}`
    const { stands } = view
    const not =
      stands && stands.refused !== null && stands.probe !== null
        ? `; not counted now: ${refusedBecause(stands.refused, stands.probe, speech)}`
        : ''
    return `${odd}Holding${at}: ${credited}${not}.`
  }
  if (segment?.kind === 'ramp') {
    const behind = view.deviationC ?? 0
    const where =
      Math.abs(behind) <= segment.toleranceC
        ? 'on its line'
        : `${temperatureDifference(Math.abs(behind), speech)} ${behind < 0 ? 'below' : 'above'} its line`
    return `${odd}On the way to ${limitTemperature(segment.toC, speech)}, ${where}.`
  }
  return `${odd}Burning out, at ${temperature(view.temperatureC, speech)}.`
}

/** The kiln's own programme ends too soon; said before it does. */
export function leavesSays(view: BurnoutView, now: EpochMs, speech: Speech): string | null {
  const leaves = view.leavesEarly
  if (!leaves) return null
  return `The kiln will leave the hold at ${moment(leaves.at, now, speech)} with ${duration(leaves.creditedMs)} of ${duration(leaves.askedMs)} credited.`
}

/** What happened while nobody heated. */
export function lossSays(loss: HeatLoss, now: EpochMs, speech: Speech): string {
  const what = loss.what === 'open' ? 'Opened' : 'Without heat'
  const until = loss.to === null ? 'and it goes on' : `until ${timeOfDay(loss.to, speech)}`
  const fell = loss.fell
    .map((f) => `${speech.nameOf(f.probe)} from ${temperature(f.fromC, speech)} to ${temperature(f.toC, speech)}`)
    .join(', ')
  return `${what} from ${moment(loss.from, now, speech)} ${until}${fell ? `: ${fell}` : ''}.`
}

/** What the trade asks next: questions with their reasons, not verdicts (TRADE 3.7: common practice, no source for any threshold). */
export function lossAsks(loss: HeatLoss, recipe: BurnoutRecipe | undefined, speech: Speech): string[] {
  if (loss.what === 'open') return []
  const asks = ['Is the door shut, and is everything where it was? What is moved hot cracks.']
  if (loss.bands.length === 0)
    asks.push('No inversion was crossed on the way down: nothing speaks against going on where the load is.')
  else {
    const fastest = Math.max(...loss.fell.map((f) => f.cPerHour))
    asks.push(
      `${loss.bands.join(' and ')} was crossed on the way down, at up to ${temperatureDifference(fastest, speech)} an hour: is there one piece that can be lost, to pour first?`,
    )
  }
  const load = recipe?.load?.kind
  if (load === 'shell') asks.push('Had the wax gone, and was the shell white? What was not burnt leaves carbon.')
  if (load === 'solid') asks.push('Had the wax gone before the heat went? What was not burnt leaves carbon.')
  asks.push('Going on means going on where the load is. It never means relighting from here.')
  return asks
}

/** Shells out of the kiln: seconds since the pull, and what of their heat is left. Rough: some 56 °C a minute is one founder's figure (TRADE 3.6). */
export const shellLossCPerMinute = 56

export function pullSays(
  view: BurnoutView,
  recipe: BurnoutRecipe | undefined,
  atC: number | null,
  now: EpochMs,
  speech: Speech,
): string | null {
  const { pulledAt, pouredAt } = view
  if (pulledAt === null) return null
  const seconds = Math.max(0, Math.round(((pouredAt ?? now) - pulledAt) / 1_000))
  const limit = recipe?.pullToPourS
  const within =
    limit === undefined
      ? ''
      : seconds <= limit
        ? ` of at most ${limit} s`
        : `, ${seconds - limit} s past the ${limit} s of the recipe`
  const rough =
    atC !== null && recipe?.load?.kind === 'shell'
      ? ` The shell may be about ${temperature(atC - (shellLossCPerMinute * seconds) / 60, speech)}: a rough figure of one founder, not a measurement.`
      : ''
  return `${pouredAt === null ? 'Out of the kiln for' : 'Poured after'} ${seconds} s${within}.${rough}`
}

/** A burnout that nobody said, as a heading over the question which one it is. */
export function undeclaredSays({ from, to, topC }: UndeclaredBurnout, now: EpochMs, speech: Speech): string {
  const begun = moment(from, now, speech)
  return to === null
    ? `A burnout nobody said, since ${begun}, up to ${temperature(topC, speech)} so far.`
    : `A burnout nobody said, from ${begun} to ${moment(to, now, speech)}, up to ${temperature(topC, speech)}.`
}
