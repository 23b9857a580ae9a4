/** The sentence of every kind of doubt: what is suspected and on what numbers, what to look at first, and what it is not. A kind without one does not compile. */
import type { Doubt, DoubtKind, Evidence } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { count, duration, moment, type Speech, temperature, temperatureDifference } from './speech.ts'

interface Said {
  /** What is suspected, with its numbers. */
  says: string
  /** What to look at first. */
  todo: string
  /** What it is not, or what is not claimed. */
  not: string
}

interface Facts {
  who: string
  /** The one it was held against. */
  other: string
  /** A measure by its name; NaN where it was not taken. */
  of(what: string): number
  has(what: string): boolean
  /** A difference in the listener's unit, without its sign. */
  apart(what: string): string
  percent(what: string): string
}

const round = (value: number, digits: number): string => value.toFixed(digits).replace('-', '−')

function factsOf(doubt: Doubt, speech: Speech): Facts {
  const found = new Map<string, Evidence>(doubt.evidence.map((e) => [e.what, e]))
  const of = (what: string) => found.get(what)?.value ?? Number.NaN
  return {
    who: speech.nameOf(doubt.instrument),
    other: doubt.against === undefined ? 'its neighbour' : speech.nameOf(doubt.against),
    of,
    has: (what) => found.has(what),
    apart: (what) => temperatureDifference(Math.round(Math.abs(of(what)) * 10) / 10, speech),
    percent: (what) => `${round(of(what) * 100, 0)} %`,
  }
}

const trim = 'Do not trim its reading.'

const voices: Record<DoubtKind, (facts: Facts, speech: Speech) => Said> = {
  emissivity: (f) => ({
    says: `${f.who} sees ${f.percent('share above surroundings')} of what the wax at ${f.other} sends out, the same share at every heat, stirred or not: its emissivity setting or its angle is suspected.`,
    todo: 'Look whether it looks straight down; then find the emissivity by comparison with a stirred pot.',
    not: 'Not a skin: stirring does not end it. Not metal: the share is too large.',
  }),
  'sees-metal': (f) => ({
    says: `${f.who} sees only ${f.percent('share above surroundings')} of what the wax at ${f.other} sends out, yet follows it: it is suspected of looking at bright metal.`,
    todo: 'Look where it points: the rim and the wall of the pot are mirrors to it.',
    not: 'Not a lid: it follows every change of the wax at once.',
  }),
  'spot-too-large': (f) => ({
    says: `${f.who} sees ${f.percent('share above surroundings')} of what the wax at ${f.other} sends out, a steady share: its spot is suspected of taking in rim and bench.`,
    todo: 'Bring it nearer: the wax should be twice as wide as its spot.',
    not: 'Not the emissivity of wax, which is never so low; not a lid, which is lifted some time.',
  }),
  'sees-skin': (f) => ({
    says: `${f.who} reads ${f.apart('below the wax by')} below the wax at ${f.other}, and came back to it when the pot was stirred: it is suspected of seeing the skin of still wax.`,
    todo: 'Stir, and read it again.',
    not: 'Not its emissivity: stirred, it agrees.',
  }),
  blind: (f) => ({
    says: `${f.who} does not follow the wax at ${f.other}: it sees the lid, vapour or a film on its window, and tells nothing of the wax.`,
    todo: 'Look whether the lid is on; then wipe its window.',
    not: 'Not metal and not a spot too large: those would follow the wax.',
  }),
  'at-the-wall': (f) => ({
    says: `${f.who} reads up to ${f.apart('above the other by')} above ${f.other}${f.has('falls not shared') ? ' and swings with the heat as wax cannot' : ''}: it is suspected of touching the wall or the element.`,
    todo: 'Look whether it hangs free, at mid-depth, off wall and floor.',
    not: 'Not layers of unstirred wax: those do not come and go like this.',
  }),
  'out-of-wax': (f) => ({
    says: `${f.who} reads ${f.apart('below the other by')} below ${f.other} while the wax is hot: it is suspected of hanging in the air.`,
    todo: 'Look at the level of the wax and at the depth of the probe; until then do not go by it.',
    not: 'Not in a solid plug: that would have melted by now.',
  }),
  'in-solid': (f) => ({
    says: `${f.who} reads ${f.apart('below the other by')} below ${f.other} while the pot melts: it sits in the solid plug, and the wax beneath is hot.`,
    todo: 'Let it melt through before anybody stirs; hot wax under a cap can spit.',
    not: 'Not out of the wax, as far as can be told: the melt has only begun.',
  }),
  'not-stirred': (f) => ({
    says: `${f.who} and ${f.other} are ${f.apart('below the other by')} apart and each may be right: the pot is not mixed.`,
    todo: 'Stir, and look whether they come together.',
    not: 'No fault of either probe is claimed.',
  }),
  ordering: (f, speech) => ({
    says: `${f.who} rose by ${f.apart('rose at rest by')} against ${f.other} in ${duration(f.of('at rest for') * 3_600_000)} at rest near ${temperature(f.of('rest at'), speech)}: type K does so between 250 and 550 °C, and reads high.`,
    todo: `A heat above 650 °C undoes it; for long rests there use type N. ${trim}`,
    not: 'Not ageing: that reads low, and stays.',
  }),
  ageing: (f) => ({
    says: `${f.who} came to read ${f.apart('each firing by')} lower against ${f.other} with each firing, over ${count(f.of('firings'), 'firing')}; it now stands ${f.apart('below its twin by')} ${f.of('below its twin by') >= 0 ? 'below' : 'above'} it. A kiln led by it would run hotter than shown.`,
    todo: `Inspect or replace it before the next firing. ${trim}`,
    not: 'Cause not claimed: candidates are a probe backing out of the wall, its connector, and green rot from firings with little air.',
  }),
  moved: (f) => ({
    says: `${f.who} stands ${f.apart('jumped by')} ${f.of('jumped by') < 0 ? 'lower' : 'higher'} against ${f.other} than in the firings before: it is suspected of having been moved, or of being no longer fully inserted.`,
    todo: `Look at its depth before the next firing, and write down if it was moved on purpose. ${trim}`,
    not: 'Not ageing: it came in one step. Another load or another place in the kiln can do the same, in smaller measure.',
  }),
  reversed: (f) => ({
    says: `${f.who} falls when ${f.other} rises: its leads are suspected of being reversed.`,
    todo: 'Change the two leads over at one end only, and watch it rise with a warm hand.',
    not: 'Not an open circuit: it follows, the wrong way.',
  }),
  'wrong-type': (f) => ({
    says: `${f.who} has been off from the first, by a share that grows with the heat, ${f.apart('off at the hottest by')} at the hottest against ${f.other}: another type of thermocouple is suspected than the one that is set${typeFrom(f)}.`,
    todo: 'Compare the marking of the wire with the type that is set; change the setting, not the readings.',
    not: 'Not ageing: it was never right.',
  }),
  'open-circuit': (f, speech) => ({
    says: f.has('pinned at')
      ? `${f.who} is pinned at ${temperature(f.of('pinned at'), speech)}, an end of its scale: an open circuit is suspected.`
      : f.has('silent alone for')
        ? `${f.who} alone has given nothing for ${duration(f.of('silent alone for') * 60_000)} while others here speak: an open circuit or a lost connection.`
        : `${f.who} has given no value for ${duration(f.of('without a value for') * 60_000)}: an open circuit is suspected.`,
    todo: 'Look at its connector and its leads.',
    not: 'The temperature itself is unknown until then.',
  }),
  stuck: (f) => ({
    says: `${f.who} has shown one and the same value for ${duration(f.of('unchanged for') * 60_000)}${f.has('the other moved') ? `, while ${f.other} moved by ${round(f.of('the other moved'), 1)}` : ', longer than it ever did'}: it is suspected of being stuck.`,
    todo: 'Restart its converter, and look whether it answers to a warm hand.',
    not: 'Not a calm hour: its usual steps are finer than that.',
  }),
  'noise-vanished': (f) => ({
    says: `The noise of ${f.who} is down to ${f.percent('noise ratio')} of its usual: what it sends is suspected of being smoothed, held or made up on the way.`,
    todo: 'Look whether a filter was set, or a converter or program put in between.',
    not: 'Not stuck: it still moves.',
  }),
  'noise-exploded': (f) => ({
    says: `The noise of ${f.who} is ${round(f.of('noise ratio'), 0)} times its usual: a loose connection, a broken screen or a motor near its leads is suspected.`,
    todo: 'Look at its connector first, then at what runs beside its leads.',
    not: 'Not an open circuit: its mean still means something, its single readings do not.',
  }),
  'clock-apart': (f) => ({
    says: `What happens comes ${duration(Math.abs(f.of('later by')) * 60_000)} ${f.of('later by') < 0 ? 'earlier' : 'later'} with ${f.who} than with ${f.other}, each time: its clock is suspected.`,
    todo: 'Set its clock, and look whether it has time from the network.',
    not: 'Not a slow probe: it comes with the same shape, only at another time. Of two, which one is right is not claimed.',
  }),
}

function typeFrom(f: Facts): string {
  for (const type of ['K', 'J', 'N', 'T', 'E', 'R', 'S', 'B'])
    if (f.has(`left over if it were type ${type}`)) return ` (type ${type} would fit)`
  return ''
}

/** What is suspected, with its numbers. */
export function doubtSays(doubt: Doubt, speech: Speech): string {
  return voices[doubt.kind](factsOf(doubt, speech), speech).says
}

/** What to look at first. */
export function doubtTodo(doubt: Doubt, speech: Speech): string {
  return voices[doubt.kind](factsOf(doubt, speech), speech).todo
}

/** What it is not, or what is not claimed. */
export function doubtIsNot(doubt: Doubt, speech: Speech): string {
  return voices[doubt.kind](factsOf(doubt, speech), speech).not
}

/** All three, with the time since when: for a page or a voice. */
export function doubtSentence(doubt: Doubt, speech: Speech, now: EpochMs): string {
  const { says, todo, not } = voices[doubt.kind](factsOf(doubt, speech), speech)
  return `${says} Since ${moment(doubt.since, now, speech)}. ${todo} ${not}`
}
