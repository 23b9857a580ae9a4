/** A night in three sentences: how it was, why, and what is left to do. None of them says more than was seen. */
import type { NamedCause, NightLine, NightReview, NightRoom } from '../contract/index.ts'
import { spellsOf } from '../series/spells.ts'
import { minuteMs } from '../time.ts'
import { causeSays } from './night-cause.ts'
import { isTouched, type NightSpell, peakText, quantityWord, shortMs, spellCause } from './night-parts.ts'
import { count, duration, listed, numberWord, percent, sentenceCase, type Speech, timeOfDay } from './speech.ts'

/** Below this nobody can say that a night was quiet. */
const seenEnough = 0.9

interface DarkSpell {
  room: NightRoom
  line: NightLine
  spell: NightSpell
}

/** Of the probes that stand for their rooms, what left its band in the dark hours, in order. */
function darkSpells(review: NightReview): DarkSpell[] {
  return review.rooms
    .flatMap((room) =>
      room.lines
        .filter((l) => l.isLeading)
        .flatMap((line) => spellsOf(line.excursions.filter((e) => e.isDark)).map((spell) => ({ room, line, spell }))),
    )
    .sort((a, b) => a.spell.from - b.spell.from)
}

/** How much of the dark hours can be judged, of the probes that stand for their rooms. */
interface Sight {
  isBegun: boolean
  isOver: boolean
  leading: { room: NightRoom; line: NightLine }[]
  /** The least seen of those that were not seen enough. */
  blind: { room: NightRoom; coverage: number } | null
}

function sightOf({ night, rooms }: NightReview): Sight {
  const leading = rooms.flatMap((room) => room.lines.filter((l) => l.isLeading).map((line) => ({ room, line })))
  const [blind] = leading
    .map(({ room, line }) => ({ room, coverage: line.dark?.coverage ?? 0 }))
    .filter(({ coverage }) => coverage < seenEnough)
    .sort((a, b) => a.coverage - b.coverage)
  return { isBegun: night.upTo > night.dusk, isOver: night.upTo >= night.dawn, leading, blind: blind ?? null }
}

/** Nothing more is said than was seen: all of the night, and all of the rooms. */
const isWhole = (sight: Sight) => sight.isOver && sight.leading.length > 0 && sight.blind === null

function quietWords({ rooms }: NightReview, speech: Speech): string {
  const [only] = rooms
  if (rooms.length === 1 && only) return `${speech.nameOf(only.station)} was in band`
  return rooms.length === 2 ? 'both rooms were in band' : `all ${numberWord(rooms.length)} rooms were in band`
}

function firstSentence(review: NightReview, sight: Sight, speech: Speech): string {
  if (!sight.isBegun) return `The night has not begun; dusk is at ${timeOfDay(review.night.dusk, speech)}.`
  if (sight.leading.length === 0) return 'No dry room is watched: there is nothing to review.'
  const dark = darkSpells(review)
  if (sight.blind) {
    const { room, coverage } = sight.blind
    const seen = dark.length > 0 ? `, with ${count(dark.length, 'excursion')} in what was seen` : ''
    return `Nobody can say whether it was quiet: of ${speech.nameOf(room.station)} only ${percent(coverage)} of the dark hours was seen${seen}.`
  }
  const soFar = sight.isOver ? '' : ' so far'
  const long = dark.filter(({ spell }) => spell.outMs >= shortMs)
  const longestOf = (all: readonly DarkSpell[]) => all.reduce((most, { spell }) => Math.max(most, spell.outMs), 0)
  const [first, ...more] = long
  if (!first)
    return dark.length === 0
      ? `Quiet night${soFar}: ${quietWords(review, speech)}.`
      : `Quiet night${soFar}: longest excursion ${duration(longestOf(dark))}.`
  const { room, line, spell } = first
  const left = `${speech.nameOf(room.station)} ${quantityWord[line.quantity]} left its band for ${duration(spell.outMs)} (${peakText(line, spell, speech)})`
  const then =
    more.length === 0
      ? ''
      : `; after that ${count(more.length, 'more excursion')}, the longest ${duration(longestOf(more))}`
  const isOutAtDusk = spell.from <= review.night.dusk
  return isOutAtDusk
    ? `Not quiet from the beginning: ${left}${then}.`
    : `Quiet until ${timeOfDay(spell.from, speech)}, when ${left}${then}.`
}

/** The same cut is felt in every room: it is told once. */
function onceEach(review: NightReview): { cause: NamedCause; station: string }[] {
  const dark = review.rooms
    .flatMap((room) => room.causes.map((cause) => ({ cause, station: room.station })))
    .filter(({ cause }) => (cause.to ?? Infinity) > review.night.dusk && cause.from < review.night.dawn)
  const isSame = (a: NamedCause, b: NamedCause) =>
    a.kind === 'power-cut' && b.kind === 'power-cut' && Math.abs(a.from - b.from) < 5 * minuteMs
  return dark
    .filter(({ cause }, i) => !dark.slice(0, i).some((o) => isSame(o.cause, cause)))
    .sort((a, b) => a.cause.from - b.cause.from)
}

function secondSentence(review: NightReview, sight: Sight, speech: Speech): string {
  if (!sight.isBegun) return 'What the rooms did by day stands below.'
  if (sight.leading.length === 0) return 'A dry room with a climate probe that stands for it is reviewed every night.'
  const causes = onceEach(review)
  const unexplained = darkSpells(review).filter(({ spell }) => spellCause(spell) === null && spell.outMs >= shortMs)
  if (causes.length === 0) {
    if (unexplained.length > 0) return 'What made it is not known.'
    return sight.blind ? 'Nothing that was seen needs a name.' : 'Nothing happened in the rooms that needs a name.'
  }
  const rest = unexplained.length > 0 ? `; ${count(unexplained.length, 'excursion')} without a known cause` : ''
  const told = causes.map(({ cause, station }) => causeSays(cause, station, speech))
  return `${sentenceCase(listed(told, 4))}${rest}.`
}

function thirdSentence(review: NightReview, sight: Sight, speech: Speech): string {
  const touched = review.rooms.flatMap((r) => r.pieces.filter(isTouched)).map((p) => p.piece ?? p.run)
  const lasting = onceEach(review).filter(({ cause }) => cause.to === null && cause.kind !== 'power-cut')
  const urgent = review.alarms.filter((a) => a.tier === 'act-now')
  const unanswered = review.alarms.filter((a) => a.seenBy.length === 0)
  const names = (all: readonly string[]) => listed([...new Set(all.map((id) => speech.nameOf(id)))], 3)
  const parts = [
    ...(touched.length > 0 ? [`look at ${listed(touched, 3)} before the next dip`] : []),
    ...(lasting.length > 0 ? [`see to ${names(lasting.map((l) => l.station))}, where it still lasts`] : []),
    ...(urgent.length > 0 ? [`${count(urgent.length, 'urgent alarm')} (${names(urgent.map((a) => a.station))})`] : []),
    ...(unanswered.length > 0 ? [`${count(unanswered.length, 'alarm')} nobody has answered`] : []),
  ]
  if (parts.length > 0) return `${sentenceCase(parts.join('; '))}.`
  return isWhole(sight) ? 'Nothing is left to do.' : 'Nothing that was seen asks for anybody.'
}

/** What the owner reads first: how the night was, why, and what is left to do. */
export function nightBrief(review: NightReview, speech: Speech): [string, string, string] {
  const sight = sightOf(review)
  return [
    firstSentence(review, sight, speech),
    secondSentence(review, sight, speech),
    thirdSentence(review, sight, speech),
  ]
}
