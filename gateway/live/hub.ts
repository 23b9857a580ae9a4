/** The hub: what happened since the last frame, once made into text, sent to all who listen. The slow listener is cut; nobody else waits. */
import {
  type Alarm,
  type Counts,
  type EntryOf,
  type Frame,
  frameMsMin,
  framesKeptBytesMax,
  framesKeptMax,
  type LiveClock,
  type LivePoint,
  listenerBacklogBytesMax,
  type Quality,
  type SeriesId,
  type StationView,
  stationViewMsMin,
  type Welcome,
} from '../../shared/contract/index.ts'
import type { Clock } from '../../shared/time.ts'

export interface Listener {
  send(text: string): void
  /** Bytes that wait in its socket. */
  waiting(): number
  /** Cuts it off, with the reason. */
  cut(reason: string): void
}

/** What the hub asks for when a frame is made. Pulled, not pushed: a station that moved a hundred times is looked at once. */
export interface HubSource {
  clock(): LiveClock
  station(id: string): StationView | null
  foundry(): NonNullable<Frame['foundry']>
  counts(): Counts
  welcome(): Omit<Welcome, 'is' | 'seq' | 'head' | 'resumed' | 'clock'>
}

const qualityIndex: Record<Quality, 0 | 1 | 2> = { good: 0, uncertain: 1, bad: 2 }
const badIndex = qualityIndex.bad
/** Points of one series in one frame before they are thinned. */
const pointsInFrameMax = 8
/** Points of one series that wait for a frame before they are thinned on the way. Reason: what waits is copied by the collector. */
const pointsHeldMax = 32
/** A frame without news is sent this often, so that a listener knows a quiet foundry from a dead line. */
const pulseMs = 5_000
/** Frames dropped from the ring before it is made shorter. */
const compactEvery = 256

/** First, lowest, highest and last by measured time: what a drawing of this moment needs, and no extreme lost. What is bad is none; the
 *  first of it stays, so that nothing is drawn across it. */
function thin(points: LivePoint[]): LivePoint[] {
  if (points.length <= pointsInFrameMax) return points
  let [first, last] = [points[0], points[0]] as [LivePoint, LivePoint]
  let [low, high, bad] = [null, null, null] as [LivePoint | null, LivePoint | null, LivePoint | null]
  for (const p of points) {
    if (p[0] < first[0]) first = p
    if (p[0] >= last[0]) last = p
    if (p[2] === badIndex) {
      if (bad === null || p[0] < bad[0]) bad = p
      continue
    }
    if (low === null || p[1] < low[1]) low = p
    if (high === null || p[1] > high[1]) high = p
  }
  const kept = [first, low, high, bad, last].filter((p) => p !== null)
  return [...new Set(kept)].sort((a, b) => a[0] - b[0])
}

interface KeptFrame {
  after: number
  seq: number
  text: string
}

export class Hub {
  readonly #clock: Clock
  readonly #source: HubSource
  readonly #listeners = new Set<Listener>()
  #kept: KeptFrame[] = []
  #keptBytes = 0
  #sentSeq: number
  #seq: number
  #points = new Map<SeriesId, LivePoint[]>()
  #standFor = 0
  #alarms = new Map<string, Alarm>()
  #stations = new Set<string>()
  #stationsAt = 0
  #foundry = false
  #counts = false
  #dueAt = Infinity
  #callOff: () => void = () => {}
  #dropped = 0
  #frameAt = -Infinity
  #stopPulse: () => void = () => {}
  #closed = false

  constructor(clock: Clock, source: HubSource, seq: number) {
    this.#clock = clock
    this.#source = source
    this.#seq = seq
    this.#sentSeq = seq
    this.#pulse()
  }

  /** In real milliseconds: a clock that runs sixty times faster does not make sixty times the frames. */
  #real(ms: number): number {
    return ms * Math.max(1, this.#clock.pace)
  }

  reading(entry: EntryOf<'reading'>, value: number, quality: Quality): void {
    const point: LivePoint = [entry.measuredAt, value, qualityIndex[quality], entry.at - entry.measuredAt]
    const points = this.#points.get(entry.series)
    if (!points) this.#points.set(entry.series, [point])
    else {
      points.push(point)
      // Thinned on the way as well, so that a flood within one frame stays small.
      if (points.length >= pointsHeldMax) this.#points.set(entry.series, thin(points))
    }
    this.#standFor++
    this.#schedule()
  }

  alarm(alarm: Alarm): void {
    this.#alarms.set(alarm.id, alarm)
    this.#schedule()
  }

  station(id: string): void {
    this.#stations.add(id)
    this.#schedule()
  }

  foundry(): void {
    this.#foundry = true
    this.#schedule()
  }

  counts(): void {
    this.#counts = true
    this.#schedule()
  }

  upTo(seq: number): void {
    this.#seq = seq
    this.#schedule()
  }

  /** The first after a pause leaves at the end of this turn; the ones behind it share a frame. */
  #schedule(): void {
    this.#flushAt(this.#frameAt + this.#real(frameMsMin))
  }

  #flushAt(at: number): void {
    if (this.#closed || at >= this.#dueAt) return
    this.#dueAt = at
    this.#callOff()
    const wait = at - this.#clock.elapsed()
    if (wait > 0) this.#callOff = this.#clock.after(wait, () => this.#flush())
    else {
      this.#callOff = () => {}
      this.#clock.soon(() => this.#flush())
    }
  }

  #flush(): void {
    this.#dueAt = Infinity
    if (this.#closed) return
    this.#send(this.#frame())
    if (this.#stations.size > 0 || this.#counts) this.#flushAt(this.#stationsAt + this.#real(stationViewMsMin))
  }

  #frame(): Frame {
    const frame: Frame = { is: 'frame', after: this.#sentSeq, seq: this.#seq, clock: this.#source.clock() }
    if (this.#points.size > 0) {
      const readings: Record<SeriesId, LivePoint[]> = {}
      let sent = 0
      for (const [series, points] of this.#points) {
        const some = thin(points)
        readings[series] = some
        sent += some.length
      }
      frame.readings = readings
      if (this.#standFor > sent) frame.standFor = this.#standFor
      this.#points = new Map()
      this.#standFor = 0
    }
    if (this.#alarms.size > 0) {
      frame.alarms = [...this.#alarms.values()]
      this.#alarms = new Map()
    }
    const now = this.#clock.elapsed()
    const viewsDue =
      now - this.#stationsAt >= this.#real(stationViewMsMin) || frame.alarms !== undefined || this.#foundry
    if (viewsDue && (this.#stations.size > 0 || this.#counts)) {
      this.#stationsAt = now
      if (this.#stations.size > 0) {
        frame.stations = [...this.#stations].flatMap((id) => this.#source.station(id) ?? [])
        this.#stations = new Set()
      }
      if (this.#counts) frame.counts = this.#source.counts()
      this.#counts = false
    }
    if (this.#foundry) frame.foundry = this.#source.foundry()
    this.#foundry = false
    return frame
  }

  #send(frame: Frame): void {
    const text = JSON.stringify(frame)
    this.#frameAt = this.#clock.elapsed()
    this.#sentSeq = frame.seq
    // A frame that adds no entry is not missed: the welcome says the same.
    if (frame.seq > frame.after) this.#keep({ after: frame.after, seq: frame.seq, text })
    for (const listener of this.#listeners) this.#sendTo(listener, text)
  }

  #sendTo(listener: Listener, text: string): void {
    if (listener.waiting() > listenerBacklogBytesMax) {
      this.#listeners.delete(listener)
      listener.cut('too slow')
    } else listener.send(text)
  }

  #keep(frame: KeptFrame): void {
    this.#kept.push(frame)
    this.#keptBytes += frame.text.length
    let drop = this.#dropped
    while (this.#kept.length - drop > framesKeptMax || this.#keptBytes > framesKeptBytesMax)
      this.#keptBytes -= this.#kept[drop++]?.text.length ?? 0
    this.#dropped = drop
    if (drop < compactEvery) return
    // Now and then in one go: shifting a long array for each frame would cost more than sending it.
    this.#kept = this.#kept.slice(drop)
    this.#dropped = 0
  }

  #pulse(): void {
    this.#stopPulse = this.#clock.after(this.#real(pulseMs), () => {
      if (this.#clock.elapsed() - this.#frameAt >= this.#real(pulseMs) * 0.9) this.#flush()
      this.#pulse()
    })
  }

  /** Frames since `after`, where they are all still here. */
  #since(after: number): KeptFrame[] | null {
    if (after === this.#sentSeq) return []
    const from = this.#kept.findIndex((f, i) => i >= this.#dropped && f.after === after)
    return from < 0 ? null : this.#kept.slice(from)
  }

  /** Welcomes a listener and sends it everything from there on. The returned function lets it go. */
  join(listener: Listener, after: number | null): () => void {
    // What has gathered belongs to those who were here before: it leaves first, so that the welcome stands at a frame's edge.
    if (this.#seq !== this.#sentSeq || this.#points.size > 0) this.#send(this.#frame())
    const missed = after === null ? null : this.#since(after)
    const welcome: Welcome = {
      is: 'welcome',
      seq: missed === null ? this.#sentSeq : (after as number),
      resumed: missed !== null,
      head: this.#sentSeq,
      clock: this.#source.clock(),
      ...this.#source.welcome(),
    }
    listener.send(JSON.stringify(welcome))
    for (const frame of missed ?? []) listener.send(frame.text)
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }

  get listeners(): number {
    return this.#listeners.size
  }

  close(): void {
    this.#closed = true
    this.#stopPulse()
    this.#callOff()
    for (const listener of this.#listeners) listener.cut('gateway stops')
    this.#listeners.clear()
  }
}
