/** What each kind of finding asks of a person where the house has not said it better: consequence, action, time to respond (IEC 62682). */
import type { Answer, FindingKind, StationKind } from '../contract/index.ts'

type Advice = Omit<Answer, 'tier'> & { tier: Answer['tier'] | null }

const shift = (consequence: string, action: string, respondMinutes: number): Advice => ({
  tier: 'this-shift',
  consequence,
  action,
  respondMinutes,
})

const notice: Advice = { tier: null, consequence: 'None by itself.', action: 'Nothing at once.', respondMinutes: 1_440 }

const hotPot: Advice = {
  tier: 'act-now',
  consequence: 'Overheated wax smokes and can catch fire.',
  action:
    'If there is no smoke or flame: heat off at the wall, lid on. Never water. Otherwise leave and call the fire service.',
  respondMinutes: 5,
}

const hotOther: Advice = {
  tier: 'act-now',
  consequence: 'Past its ceiling, what stands in it is at risk.',
  action: 'Go and look; bring the heat down by its own controls.',
  respondMinutes: 10,
}

const advice: Record<FindingKind, (station: StationKind) => Advice> = {
  'above-ceiling': (station) => (station === 'pot' || station === 'bench-cup' ? hotPot : hotOther),
  'outside-window': () =>
    shift('The work in it drifts from what was asked.', 'Look at the station and its controls.', 60),
  'rising-too-fast': (station) =>
    station === 'pot'
      ? { ...hotPot, tier: 'this-shift', respondMinutes: 15 }
      : shift('What is heated too fast cracks.', 'Check its controls.', 15),
  'gone-quiet': () => shift('Nobody sees this place until it speaks again.', 'Check its power and its network.', 60),
  'instrument-fault': () => shift('This instrument does not see.', 'Check its probe and its leads.', 120),
  'clock-wrong': () => ({
    tier: 'tomorrow',
    consequence: 'Its readings are placed by the time they arrived.',
    action: 'Set its clock right, send milliseconds, or let it send no time at all.',
    respondMinutes: 1_440,
  }),
  'conflicting-reading': () => notice,
  'off-recipe': () => shift('The load is not where its recipe has it.', 'Compare the controller with the recipe.', 30),
  'outside-recipe-band': () =>
    shift('The shells dry at another climate than asked.', 'Look at door, fan, dehumidifier and cooling.', 60),
  'coat-outside-window': () => notice,
  'coat-off-wait': () => notice,
  'nearing-ceiling': () => hotPot,
  'no-cut-off': () => ({ ...hotPot, respondMinutes: 10 }),
  'left-on': () =>
    shift('Wax held hot for days darkens and grows brittle.', 'Switch it off, or cover it and turn it down.', 120),
  'wax-old': () => ({
    tier: 'tomorrow',
    consequence: 'Old wax is brittle and leaves more ash.',
    action: 'Renew the batch, and say so at the pot.',
    respondMinutes: 10_080,
  }),
  'soak-paused': () =>
    shift('The soak is not counted, and the load is not through.', 'Look why this probe is not within its hold.', 30),
  'leaves-early': () =>
    shift('The kiln cools before the load has soaked as asked.', 'Lengthen the hold at the controller.', 30),
  'heat-lost': () =>
    shift(
      'The load cools, and may pass an inversion.',
      'Door shut, moulds left where they are; look what took the heat. A stopped gas kiln is relit by whoever may, on site, after purging.',
      15,
    ),
  'band-too-fast': () => shift('The refractory may crack here.', 'Slow the ramp at the controller.', 15),
  'hand-due': () => ({
    tier: 'tomorrow',
    consequence: 'The recipe waits for somebody.',
    action: 'Do it, and say so at the kiln.',
    respondMinutes: 30,
  }),
  'burnout-found': () =>
    shift(
      'Nobody is told whether its soak is counted, or when it is ready.',
      'Say at the kiln which recipe it is; it counts from its beginning.',
      120,
    ),
  // What passes by itself; whom nobody may rely on is told with an answer of its own.
  'instrument-doubt': () => notice,
  'check-due': () => ({
    tier: 'tomorrow',
    consequence: 'Nobody knows whether it still reads right.',
    action: 'Check it against melting ice, boiling water or a probe that was checked.',
    respondMinutes: 10_080,
  }),
}

/** Null where the finding is for reading, not for acting: then it is no alarm. */
export function answerOf(kind: FindingKind, station: StationKind, house?: Answer): Answer | null {
  if (house) return house
  const { tier, ...rest } = advice[kind](station)
  return tier === null ? null : { tier, ...rest }
}
