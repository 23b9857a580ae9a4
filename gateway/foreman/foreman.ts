/** The foreman: reads the journal to the judge and does what follows. The judge decides, the foreman acts. */
import {
  type Alarm,
  type Doubt,
  type Entry,
  type EntryOf,
  type Finding,
  type InstrumentLife,
  type NewEntry,
  type Quality,
  type SeriesView,
  type StationView,
  snapshotEveryEntries,
  snapshotEveryMs,
} from '../../shared/contract/index.ts'
import {
  type Changes,
  emptyHouse,
  freeze,
  type House,
  judge,
  seriesViews,
  stateShape,
  stationView,
} from '../../shared/judge/index.ts'
import { interpreted } from '../../shared/physics/interpretation.ts'
import type { Clock } from '../../shared/time.ts'
import type { Fate, Store } from '../store/store.ts'
import { Ledger } from './ledger.ts'
import { recover } from './recover.ts'
import { Strangers } from './strangers.ts'
import { Watch } from './watch.ts'

/** Who is told what follows. All of it is called in the order of seq, in the same turn. */
export interface Told {
  /** `value` as it is meant; as it was sent, and bad, where it means nothing. */
  reading(entry: EntryOf<'reading'>, value: number, quality: Quality): void
  changes(changes: Changes): void
  /** A station that stands in a run moves with every reading. */
  moved(station: string): void
  foundry(): void
  counted(): void
  /** Everything up to here is told. */
  upTo(seq: number): void
}

/** Doubts that stand, and the numbers of its life. */
export interface InstrumentExamination {
  doubts: readonly Doubt[]
  life: Pick<InstrumentLife, 'hoursAbove800' | 'passes250to550' | 'hoursAt250to550' | 'firings' | 'differences'>
}

export interface ForemanParts {
  store: Store
  clock: Clock
  /** Has an entry of our own remembered; it comes back through `observe`. */
  record: (entries: NewEntry[]) => Promise<Fate[]>
  told: Told
}

/** Findings wait this long for company before they are written. They are derived: a crash loses nothing that is not folded again. */
const keepEveryMs = 1_000

export class Foreman {
  readonly ledger = new Ledger()
  readonly strangers = new Strangers()
  readonly watch: Watch
  readonly #parts: ForemanParts
  #house: House = emptyHouse()
  #unreadable = 0
  #unkept = new Map<string, Finding>()
  #keeping: Promise<void> = Promise.resolve()
  #sinceSnapshot = 0
  #snapshotAt = 0
  #stopKeeping: () => void = () => {}

  constructor(parts: ForemanParts) {
    this.#parts = parts
    this.watch = new Watch({ clock: parts.clock, house: () => this.#house, record: parts.record })
  }

  get house(): House {
    return this.#house
  }

  get unreadable(): number {
    return this.#unreadable
  }

  alarms(): readonly Alarm[] {
    return this.#house.alarms
  }

  /** What the examiner holds of an instrument. */
  examinationOf(instrument: string): InstrumentExamination {
    const at = this.#house.rules.instrumentAt.get(instrument)
    const exam = this.#house.stations[at?.station ?? -1]?.exam
    const life = exam?.lives.find((one) => one.instrument === instrument)
    return {
      doubts: exam?.doubts.filter((doubt) => doubt.instrument === instrument) ?? [],
      life: {
        hoursAbove800: life?.hoursAbove800 ?? 0,
        passes250to550: life?.passes250to550 ?? 0,
        hoursAt250to550: life?.hoursAt250to550 ?? 0,
        firings: life?.firings ?? 0,
        differences: [...(life?.differences ?? [])],
      },
    }
  }

  stationViews(): StationView[] {
    return this.#house.stations.map((_, i) => stationView(this.#house, i))
  }

  viewOf(station: string): StationView | null {
    const index = this.#house.rules.stationOf.get(station)
    return index === undefined ? null : stationView(this.#house, index)
  }

  latest(): SeriesView[] {
    return seriesViews(this.#house)
  }

  /** Folds what the store holds, from the newest snapshot on, and begins its rounds. Whatever the crash took is found again. */
  async recover(): Promise<void> {
    const { store, clock } = this.#parts
    const recovered = await recover(store, (entry) => this.ledger.observe(entry))
    this.#house = recovered.house
    this.#unreadable = await store.count('unreadable')
    for (const s of recovered.strangers)
      this.strangers.meet(s.instrument, s.quantity, s.value, s.at, s.readings, s.firstAt)
    this.strangers.claimed(this.#house.rules.foundry.instruments)
    this.#unkept = recovered.findings
    this.#snapshotAt = clock.now()
    await this.#parts.record([{ at: clock.now(), kind: 'start', downSince: recovered.lastAt }])
    this.#keepOn()
    this.watch.begin()
  }

  /** Every entry that is on disk, in order. */
  observe(entries: readonly Entry[]): void {
    const { told } = this.#parts
    for (const entry of entries) {
      const [house, changes] = judge(this.#house, entry)
      this.#house = house
      this.#tell(entry, changes)
    }
    this.#sinceSnapshot += entries.length
    const last = entries[entries.length - 1]
    if (last) told.upTo(last.seq)
    if (this.#sinceSnapshot >= snapshotEveryEntries) void this.keep(true)
  }

  #tell(entry: Entry, changes: Changes): void {
    const { told } = this.#parts
    if (entry.kind === 'reading') this.#tellReading(entry)
    else if (entry.kind === 'act') this.ledger.observe(entry)
    else if (entry.kind === 'unreadable') {
      this.#unreadable++
      told.counted()
    } else if (entry.kind === 'foundry') {
      this.strangers.claimed(entry.foundry.instruments)
      told.foundry()
      told.counted()
    }
    if (changes.findings.length > 0) for (const finding of changes.findings) this.#unkept.set(finding.id, finding)
    if (changes.stations.size > 0 || changes.alarms.length > 0) told.changes(changes)
  }

  #tellReading(entry: EntryOf<'reading'>): void {
    const { told } = this.#parts
    const { rules, stations } = this.#house
    const at = rules.seriesAt.get(entry.series)
    const station = at && rules.stations[at.station]
    const interpretation = at && station?.series[at.series]?.interpretation
    const meant = interpretation ? interpreted(interpretation, entry.value, entry.measuredAt) : entry.value
    if (typeof meant === 'number') told.reading(entry, meant, entry.quality)
    else told.reading(entry, entry.value, 'bad')
    if (at && (stations[at.station]?.runs.length ?? 0) > 0) told.moved(station?.station.id ?? '')
    if (!at && !rules.instrumentAt.has(entry.series.slice(0, entry.series.lastIndexOf('.')))) {
      this.strangers.observe(entry)
      told.counted()
    }
  }

  #keepOn(): void {
    const { clock } = this.#parts
    this.#stopKeeping = clock.after(keepEveryMs * Math.max(1, clock.pace), () => {
      void this.keep(
        clock.now() - this.#snapshotAt >= snapshotEveryMs * Math.max(1, clock.pace) && this.#sinceSnapshot > 0,
      )
      this.#keepOn()
    })
  }

  /** Writes what was derived. A disk that refuses is told by the intake; the findings wait here and are folded again after a crash. */
  keep(withSnapshot: boolean): Promise<void> {
    if (this.#unkept.size === 0 && !withSnapshot) return this.#keeping
    const unkept = this.#unkept
    const house = this.#house
    this.#unkept = new Map()
    if (withSnapshot) {
      this.#sinceSnapshot = 0
      this.#snapshotAt = this.#parts.clock.now()
    }
    this.#keeping = this.#keeping.then(async () => {
      try {
        const snapshot = withSnapshot ? { snapshot: { seq: house.seq, state: freeze(house), shape: stateShape } } : {}
        await this.#parts.store.keep({ findings: [...unkept.values()], ...snapshot })
      } catch {
        for (const [id, finding] of unkept) if (!this.#unkept.has(id)) this.#unkept.set(id, finding)
      }
    })
    return this.#keeping
  }

  async close(): Promise<void> {
    this.watch.end()
    this.#stopKeeping()
    await this.keep(true)
  }
}
