/** The past of some series for a chart, read from the store and carried on by what arrives, without gap or repeat. */
import { untrack } from 'svelte'
import type { LivePoint, SeriesId } from '../../shared/contract/index.ts'
import type { DurationMs, EpochMs } from '../../shared/time.ts'
import { api, sentenceOf } from './api.ts'
import { every } from './clock.ts'
import type { Feed } from './feed.svelte.ts'
import { Line } from './line.ts'

/** So many live points, and the chart is read anew: the store thins them to pixels, we do not. */
const livePointsMax = 5_000
const retryMs = 5_000

export interface Wanted {
  series: readonly SeriesId[]
  /** A fixed beginning, or the last `spanMs`. */
  from?: EpochMs
  spanMs?: DurationMs
  /** Device pixels. */
  width: number
}

export class History {
  /** Replaced, never changed in place, so that a chart sees it as new. */
  lines = $state.raw<readonly Line[]>([])
  trouble = $state.raw('')
  loaded = $state.raw(false)

  readonly #feed: Feed
  readonly #wanted: Wanted
  #lines = new Map<SeriesId, Line>()
  /** Points that came while the store was still reading. */
  #meanwhile = new Map<SeriesId, LivePoint[]>()
  #reading = false
  #stale = true
  #changed = false
  #generation = 0

  constructor(feed: Feed, wanted: Wanted) {
    this.#feed = feed
    this.#wanted = wanted
  }

  /** Begins; returns how to end. `beatMs` is how often the chart may change. */
  start(beatMs: number): () => void {
    // Begun inside an effect, it must not make that effect depend on every frame: it would begin anew with each.
    return untrack(() => this.#begin(beatMs))
  }

  #begin(beatMs: number): () => void {
    const stopListening = this.#feed.onPoints((points) => this.#take(points))
    let sinceTryMs = retryMs
    const stopBeating = every(beatMs, () => {
      sinceTryMs += beatMs
      if ((this.#feed.view?.generation ?? 0) !== this.#generation) this.#stale = true
      if (
        this.#stale &&
        !this.#reading &&
        this.#feed.link === 'open' &&
        sinceTryMs >= (this.trouble === '' ? 0 : retryMs)
      ) {
        sinceTryMs = 0
        void this.#read()
      }
      if (this.#changed) this.#show()
    })
    void this.#read()
    return () => {
      stopListening()
      stopBeating()
    }
  }

  #from(): EpochMs {
    return this.#wanted.from ?? this.#feed.now - (this.#wanted.spanMs ?? 0)
  }

  async #read(): Promise<void> {
    const view = this.#feed.view
    if (view === null || this.#reading) return
    this.#reading = true
    this.#meanwhile.clear()
    const generation = view.generation
    // A minute beyond now, for instruments whose clocks run a little ahead.
    const to = this.#feed.now + 60_000
    const from = this.#from()
    try {
      const bodies = await Promise.all(this.#wanted.series.map((s) => api.chart(s, from, to, this.#wanted.width)))
      this.#lines = new Map(bodies.map((body) => [body.series, new Line(body)]))
      for (const [series, points] of this.#meanwhile) this.#lines.get(series)?.add(points)
      this.#generation = generation
      this.#stale = false
      this.loaded = true
      this.trouble = ''
      this.#show()
    } catch (error) {
      this.trouble = sentenceOf(error)
    }
    this.#reading = false
  }

  #take(points: Readonly<Record<SeriesId, LivePoint[]>>): void {
    for (const series of this.#wanted.series) {
      const mine = points[series]
      if (!mine) continue
      if (this.#reading) this.#meanwhile.set(series, [...(this.#meanwhile.get(series) ?? []), ...mine])
      const line = this.#lines.get(series)
      if (!line) continue
      line.add(mine)
      this.#changed = true
      if (line.live > livePointsMax) this.#stale = true
    }
  }

  #show(): void {
    this.#changed = false
    this.lines = [...this.#lines.values()]
  }
}
