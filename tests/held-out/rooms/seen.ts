/** Whether anybody could have seen an event: the same night is told without it, and the tracks are laid side by side. */
import { dewC, saturationPa } from './air.ts'
import type { Happening, RoomNight, Track } from './scene.ts'

const minuteMs = 60_000

type Line = Pick<Track, 't' | 'v'>

const mean = (v: readonly number[]) => v.reduce((sum, x) => sum + x, 0) / v.length
const median = (v: readonly number[]) => [...v].sort((a, b) => a - b)[Math.floor(v.length / 2)]!

/** Rows of values by stretches of so many ms. */
function blocks(line: Line, from: number, to: number, blockMs: number): Map<number, number[]> {
  const found = new Map<number, number[]>()
  line.t.forEach((t, i) => {
    if (t < from || t >= to) return
    const key = Math.floor((t - from) / blockMs)
    const block = found.get(key)
    if (block) block.push(line.v[i]!)
    else found.set(key, [line.v[i]!])
  })
  return found
}

/** What a track does within an hour of a night without event: the middle one of the hours' deviations, or a third of a digit. */
export function unrestOf(line: Line, from: number, to: number): number {
  let digit = Number.POSITIVE_INFINITY
  for (let i = 1; i < line.v.length; i++) {
    const step = Math.abs(line.v[i]! - line.v[i - 1]!)
    if (step > 1e-6 && step < digit) digit = step
  }
  const hours = [...blocks(line, from, to, 60 * minuteMs).values()].filter((v) => v.length > 4)
  const deviations = hours.map((v) => {
    const middle = mean(v)
    return Math.sqrt(mean(v.map((x) => (x - middle) ** 2)))
  })
  const least = Math.max(0.02, Number.isFinite(digit) ? 0.3 * Math.min(digit, 0.5) : 0)
  return Math.max(least, deviations.length > 0 ? median(deviations) : 0)
}

/** The largest step apart of two tellings, block by block, in units of the track's own unrest. */
export function movedBy(
  real: Line,
  without: Line,
  night: RoomNight,
  from: number,
  to: number,
  blockMs: number,
): number {
  const unrest = unrestOf(without, night.from, night.to)
  const [a, b] = [blocks(real, from, to, blockMs), blocks(without, from, to, blockMs)]
  let most = 0
  for (const [key, v] of a) {
    const other = b.get(key)
    if (other && v.length > 2 && other.length > 2) most = Math.max(most, Math.abs(mean(v) - mean(other)) / unrest)
  }
  return most
}

/** The longest time in which nothing arrived, and the longest in which nothing changed. */
function longest(track: Track, from: number, to: number): { silence: number; flat: number } {
  const [arrivals, changes] = [[from], [from]]
  track.t.forEach((t, i) => {
    const came = track.arrivedAt[i]!
    if (came >= from && came < to) arrivals.push(came)
    if (t >= from && t < to && i > 0 && track.v[i] !== track.v[i - 1]) changes.push(t)
  })
  const gap = (times: number[]) =>
    [...times, to].sort((x, y) => x - y).reduce((most, t, i, all) => Math.max(most, i === 0 ? 0 : t - all[i - 1]!), 0)
  return { silence: gap(arrivals), flat: gap(changes) }
}

function dewLine(tracks: Record<string, Track>, station: string): Line | null {
  const [temperature, humidity] = [tracks[`${station}.temperature`], tracks[`${station}.humidity`]]
  if (!temperature || !humidity) return null
  return { t: temperature.t, v: temperature.v.map((c, i) => dewC((humidity.v[i]! / 100) * saturationPa(c))) }
}

const withDews = (tracks: Record<string, Track>): Record<string, Line> => {
  const [a, b] = [dewLine(tracks, 'a'), dewLine(tracks, 'b')]
  return { ...tracks, ...(a && { 'a.dew': a }), ...(b && { 'b.dew': b }) }
}

/**
 * An event is seen if some track, or a dew point, moves by 1.5 times its own unrest, and by more than machines do that
 * are but at another point of their rounds (`turned`, asked only where it matters); or if something falls silent or stands still.
 */
export function isSeen(
  night: RoomNight,
  without: Record<string, Track>,
  turned: () => Record<string, Track>,
  event: Happening,
): boolean {
  const { from, to } = event.truth
  const ends = Math.min(night.to, to ?? night.to)
  const until = Math.min(night.to, ends + 60 * minuteMs)
  const blockMs = Math.max(5 * minuteMs, Math.min(30 * minuteMs, (ends - from) / 2))
  for (const [key, track] of Object.entries(night.tracks)) {
    const [real, usual] = [longest(track, from, until), longest(without[key]!, night.from, night.to)]
    if (real.silence > usual.silence + 3 * minuteMs) return true
    const stuck = event.lie?.how === 'stuck' && key.startsWith('a.')
    if (stuck && real.flat > 45 * minuteMs && real.flat > 3 * usual.flat) return true
  }
  const usual = withDews(without)
  const by = (lines: Record<string, Line>, key: string) =>
    movedBy(lines[key]!, usual[key]!, night, from, until, blockMs)
  const lines = withDews(night.tracks)
  const moved = Object.keys(lines).filter((key) => by(lines, key) >= 1.5)
  if (moved.length === 0) return false
  if (moved.some((key) => key === 'door.contact' || key === 'fan.current' || by(lines, key) > 12)) return true
  const other = withDews(turned())
  return moved.some((key) => by(lines, key) > 1.4 * by(other, key))
}
