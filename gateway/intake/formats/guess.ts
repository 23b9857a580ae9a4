/** Guesses how a message that nobody has claimed could be read: for a person to look at, change and confirm; never used unasked. */
import {
  type Mapping,
  type MappingUnit,
  mappingUnits,
  Pointer,
  type timeForms,
  TopicFilter,
} from '../../../shared/contract/index.ts'
import { jsonOf, shown, textOf } from './format.ts'
import { type Leaf, leavesOf, listIn } from './leaves.ts'
import { cleaned, distinct, joined } from './naming.ts'
import { pointerOf } from './pointer.ts'
import { type DecimalMark, instantIn, numberIn } from './scalar.ts'
import { unitFromName } from './unit-words.ts'

export interface MappingGuess {
  mapping: Mapping
  /** Why, one sentence for each pointer. */
  reasons: { pointer: string; sentence: string }[]
}

interface Candidate {
  leaf: Leaf
  unit: MappingUnit
  /** 3 the name tells the unit, 2 name and value fit one, 1 a number of something. */
  sure: 1 | 2 | 3
  why: string
}

/** Guesses offered at once. Reason: more is a list to be read, not a choice. */
const guessesMax = 8

/** What devices tell of themselves (common practice, no source). */
const aboutDevice =
  /batter|rssi|snr|link_?quality|lqi|uptime|firmware|version|(^|_)(id|seq|fcnt|port|count(er)?|index|mac|ip)$|interval|voltage/i
const aboutTime = /time|date|^(ts|at|when|t)$|_at$|_ts$/i

interface Sense {
  name: RegExp
  fits: (value: number) => MappingUnit | null
  says: string
}

const within = (unit: MappingUnit, min: number, max: number) => (value: number) =>
  value >= min && value <= max ? unit : null

/** What a name means, and whether a value can be that. Ranges of this trade (common practice, no source). */
const senses: readonly Sense[] = [
  { name: /junction|cold_?end|\bcj/i, fits: within('junctionCelsius', -40, 120), says: '°C of the cold end' },
  { name: /emf|microvolt|thermo_?voltage/i, fits: within('microvolts', -10_000, 80_000), says: 'µV' },
  { name: /temp|celsius|^t\d*$|(^|_)t\d+$|probe|\btc\d*$|\bpv$/i, fits: within('celsius', -60, 1_820), says: '°C' },
  { name: /hum|(^|_)rh\d*$/i, fits: within('relativeHumidity', 0, 105), says: '% relative humidity' },
  {
    name: /press|baro/i,
    fits: (value) =>
      value >= 50_000
        ? 'pascals'
        : value >= 500 && value <= 1_200
          ? 'hectopascals'
          : value >= 50 && value <= 120
            ? 'kilopascals'
            : null,
    says: 'the pressure of the air',
  },
  { name: /wind|air_?speed|air_?flow|velocity/i, fits: within('metresPerSecond', 0, 60), says: 'm/s' },
  { name: /current|amp(ere)?s?$/i, fits: within('amperes', -1_000, 1_000), says: 'A' },
]

const contact = /door|contact|open|closed|lid|mains|power/i

/** What a value is called: its key, and where a list numbers it or it has none, what stands before. */
function nameOf({ steps }: Leaf, topic: string): string {
  const key = [...steps].reverse().find((step) => !/^\d+$/.test(step))
  return key ?? topic.split('/').at(-1) ?? ''
}

function numberCandidate(leaf: Leaf, name: string, value: number): Candidate {
  const called = `It is called ${shown(name)}`
  const unit = unitFromName(name)
  if (unit !== null) return { leaf, unit, sure: 3, why: `${called}, which names its unit.` }
  for (const { name: sense, fits, says } of senses) {
    const fitting = sense.test(name) ? fits(value) : null
    if (fitting !== null)
      return { leaf, unit: fitting, sure: 2, why: `${called}, and ${value} could be ${says}; check the unit.` }
  }
  return { leaf, unit: 'number', sure: 1, why: `${called} and is a number; nothing tells of what.` }
}

function candidateOf(leaf: Leaf, topic: string, mark: DecimalMark | undefined): Candidate | null {
  const name = nameOf(leaf, topic)
  if (aboutDevice.test(name)) return null
  if (typeof leaf.value === 'boolean') {
    if (!contact.test(name)) return null
    const unit = /open/i.test(name) ? 'open' : 'closed'
    return { leaf, unit, sure: 2, why: `It is called ${shown(name)} and is true or false; true is taken as ${unit}.` }
  }
  const value = numberIn(leaf.value, mark)
  return value === null ? null : numberCandidate(leaf, name, value)
}

/** Seconds of this century, and the same in milliseconds: what a clock counts. */
const secondsMin = 946_684_800
const secondsMax = 4_102_444_800

interface TimeGuess {
  leaf: Leaf
  as: (typeof timeForms)[number]
}

function timeOf(leaves: readonly Leaf[], topic: string): TimeGuess | null {
  for (const leaf of leaves) {
    if (instantIn(leaf.value, 'iso', undefined) !== null) return { leaf, as: 'iso' }
    if (typeof leaf.value !== 'number' || !aboutTime.test(nameOf(leaf, topic))) continue
    if (leaf.value >= secondsMin && leaf.value <= secondsMax) return { leaf, as: 'seconds' }
    if (leaf.value >= secondsMin * 1_000 && leaf.value <= secondsMax * 1_000) return { leaf, as: 'milliseconds' }
  }
  return null
}

/** The mark by which the texts among the values are numbers; undefined where none is. */
function markOf(leaves: readonly Leaf[]): DecimalMark | undefined {
  const texts = leaves.filter(({ value }) => typeof value === 'string')
  if (texts.some(({ value }) => numberIn(value, 'comma') !== null && numberIn(value, 'point') === null)) return 'comma'
  return texts.some(({ value }) => numberIn(value, 'point') !== null) ? 'point' : undefined
}

/** Null where the topic is one that no mapping can cover by its own name. */
function instrumentFrom(topic: string): string | null {
  if (topic.startsWith('$') || !TopicFilter.safeParse(topic).success || /[+#]/.test(topic)) return null
  return joined(
    topic
      .split('/')
      .filter((level) => level !== '')
      .map(distinct),
  )
}

/** One of each quantity goes together, the surest first; every other is an instrument of its own. */
function grouped(candidates: readonly Candidate[]): Candidate[][] {
  const first: Candidate[] = []
  const others: Candidate[][] = []
  for (const one of [...candidates].sort((a, b) => b.sure - a.sure)) {
    const taken = first.some(({ unit }) => mappingUnits[unit] === mappingUnits[one.unit])
    if (taken || (one.sure === 1 && first.length > 0)) others.push([one])
    else first.push(one)
  }
  return first.length === 0 ? others : [first, ...others]
}

/** Mappings that would read this message, the likeliest first; none where there is nothing in it that could be a reading. */
export function guessMapping(topic: string, payload: Uint8Array): MappingGuess[] {
  const instrument = instrumentFrom(topic)
  const text = textOf(payload)
  if (instrument === null || text === null) return []
  const json = jsonOf(text)?.json ?? text.trim()
  const list = listIn(json)
  const leaves = leavesOf(list?.element ?? json).filter(({ steps }) => Pointer.safeParse(pointerOf(steps)).success)
  const mark = markOf(leaves)
  const time = timeOf(leaves, topic)
  const candidates = leaves.flatMap((leaf) => (leaf === time?.leaf ? [] : (candidateOf(leaf, topic, mark) ?? [])))
  return grouped(candidates)
    .slice(0, guessesMax)
    .map((group, i) => {
      const [own] = group
      const end = i === 0 || !own ? [] : [cleaned(pointerOf(own.leaf.steps).slice(1).replaceAll('/', '.'))]
      return {
        mapping: {
          topic,
          instrument: joined([instrument, ...end]),
          values: group.map(({ leaf, unit }) => ({ pointer: pointerOf(leaf.steps), unit })),
          ...(list && { list: pointerOf(list.steps) }),
          ...(time && { time: { pointer: pointerOf(time.leaf.steps), as: time.as } }),
          ...(mark && { numbersAsText: mark }),
        },
        reasons: reasonsOf(group, time),
      }
    })
}

function reasonsOf(group: readonly Candidate[], time: TimeGuess | null): MappingGuess['reasons'] {
  const reasons = group.map(({ leaf, why }) => ({ pointer: pointerOf(leaf.steps), sentence: why }))
  if (time === null) return reasons
  const how = time.as === 'iso' ? 'is a date and time with zone' : `counts ${time.as} since 1970`
  return [...reasons, { pointer: pointerOf(time.leaf.steps), sentence: `It ${how}: when it was measured.` }]
}
