/** What is known of one edge node: what it and its devices announced, what order its messages came in, and what still waits for its birth. */
import type { EpochMs } from '../../../../shared/time.ts'
import {
  birthsRememberedMax,
  heldMetricsMax,
  metricsPerNodeMax,
  rebirthAskMs,
  reorderMs,
  reorderPlacesMax,
} from './limits.ts'
import type { Known } from './metric.ts'
import type { Metric } from './payload.ts'
import { ahead, Sequence } from './sequence.ts'

/** Values that came before the birth that would explain them. They are on disk as unreadable; if their birth comes soon, they are read after all. */
export interface Held {
  device: string | null
  seq: number
  sentAt: bigint | undefined
  metrics: readonly Metric[]
  arrivedAt: EpochMs
}

interface Announced {
  born: boolean
  bornAt: bigint | undefined
  /** Kept after its death and through a rebirth: whoever is said to be gone is named. */
  instruments: readonly string[]
  byName: Map<string, Known>
}

export class EdgeNode {
  readonly group: string
  readonly node: string
  born = false
  bdSeq: bigint | null = null
  touchedAt: EpochMs
  readonly sequence = new Sequence()
  /** By device; the node's own under null. */
  readonly #announced = new Map<string | null, Announced>()
  readonly #aliases = new Map<bigint, Known>()
  /** What aliases meant before the newest births: a message sent before them may still be under way. */
  #before = new Map<bigint, Known>()
  /** Sums over the bytes of the newest births: the same bytes again are the same birth, and begin nothing anew. */
  #births: number[] = []
  readonly #gone = new Set<string>()
  #held: Held[] = []
  #askedAt: EpochMs | null = null
  #owed = false

  constructor(group: string, node: string, at: EpochMs) {
    this.group = group
    this.node = node
    this.touchedAt = at
  }

  get metrics(): number {
    let count = 0
    for (const { byName } of this.#announced.values()) count += byName.size
    return count
  }
  get devices(): number {
    return this.#announced.size
  }
  knows(device: string | null): boolean {
    return this.#announced.has(device)
  }
  metricsOf(device: string | null): number {
    return this.#announced.get(device)?.byName.size ?? 0
  }

  /** A birth of the node ends what its devices had announced: they will do so again. */
  beginSession(bdSeq: bigint | null, seq: number, sum: number): void {
    this.born = true
    this.bdSeq = bdSeq
    this.#owed = false
    this.sequence.begin(seq, sum)
    this.#before = new Map(this.#aliases)
    this.#aliases.clear()
    for (const announced of this.#announced.values()) announced.born = false
  }

  /** Whether this very birth came before; it counts as come then. */
  hadBirth(sum: number): boolean {
    if (this.#births.includes(sum)) return true
    this.#births.push(sum)
    if (this.#births.length > birthsRememberedMax) this.#births.shift()
    return false
  }

  announce(
    device: string | null,
    bornAt: bigint | undefined,
    known: readonly { known: Known; alias: bigint | undefined }[],
  ): void {
    if (this.#before.size > metricsPerNodeMax) this.#before.clear()
    for (const [alias, one] of this.#aliases)
      if (one.device === device) {
        this.#before.set(alias, one)
        this.#aliases.delete(alias)
      }
    for (const { known: one, alias } of known) if (alias !== undefined) this.#aliases.set(alias, one)
    this.#announced.set(device, {
      born: true,
      bornAt,
      instruments: known.map(({ known: { instrument } }) => instrument),
      byName: new Map(known.map(({ known: one }) => [one.name, one])),
    })
  }

  isBorn(device: string | null): boolean {
    return this.born && this.#announced.get(device)?.born === true
  }

  /** Whether something was sent before the birth in force, and only came after it. */
  isFromBefore(device: string | null, sentAt: bigint | undefined): boolean {
    const bornAt = this.#announced.get(device)?.bornAt
    return sentAt !== undefined && bornAt !== undefined && sentAt < bornAt
  }

  /**
   * The announced metric that this one means; a name counts where there is no alias. What was sent before the birth in force is read by what
   * aliases meant then, and by nothing where we never heard that; but a value from the past may have been waiting to be sent.
   */
  find(device: string | null, { alias, name, isHistorical }: Metric, sentAt: bigint | undefined): Known | undefined {
    if (alias === undefined) return this.#announced.get(device)?.byName.get(name ?? '')
    const early = this.isFromBefore(device, sentAt)
    const known =
      (early ? this.#before.get(alias) : undefined) ?? (early && !isHistorical ? undefined : this.#aliases.get(alias))
    return known?.device === device ? known : undefined
  }

  /** Ends the device, or the node with all its devices (null); the instruments that are gone with it. */
  end(device: string | null): string[] {
    const ended = device === null ? [...this.#announced.values()] : [this.#announced.get(device)]
    if (device === null) {
      this.born = false
      this.#owed = false
      this.sequence.giveUp()
    }
    const instruments: string[] = []
    for (const announced of ended) {
      if (!announced) continue
      announced.born = false
      instruments.push(...announced.instruments)
    }
    if (this.#gone.size > metricsPerNodeMax) this.#gone.clear()
    for (const instrument of instruments) this.#gone.add(instrument)
    return instruments
  }

  /** Those among them that had been said to be gone, and are back. */
  back(instruments: readonly string[]): string[] {
    return instruments.filter((instrument) => this.#gone.delete(instrument))
  }

  hold(held: Held): void {
    const waiting = this.#held.reduce((sum, { metrics }) => sum + metrics.length, 0)
    if (waiting + held.metrics.length <= heldMetricsMax) this.#held.push(held)
  }

  /**
   * What waited for this birth and belongs after it: sent no earlier, and numbered shortly behind it. Anything else is of another session,
   * in which an alias may have meant something else.
   */
  released(device: string | null, seq: number, bornAt: bigint | undefined, now: EpochMs): Held[] {
    const inTime = this.#held.filter(({ arrivedAt }) => Math.abs(now - arrivedAt) < reorderMs)
    const belongs = (held: Held): boolean =>
      held.device === device &&
      held.seq !== seq &&
      ahead(held.seq, seq) <= reorderPlacesMax &&
      held.sentAt !== undefined &&
      bornAt !== undefined &&
      held.sentAt >= bornAt
    this.#held = inTime.filter((held) => !belongs(held))
    return inTime.filter(belongs)
  }

  /** Lets go of what has waited in vain. */
  forget(now: EpochMs): void {
    this.#held = this.#held.filter(({ arrivedAt }) => Math.abs(now - arrivedAt) < reorderMs)
  }

  get heldMetrics(): number {
    return this.#held.reduce((sum, { metrics }) => sum + metrics.length, 0)
  }

  /** Something has been missing for too long, or its birth was wanted when it had just been asked for. */
  wantsAsking(now: EpochMs): boolean {
    return this.#owed || this.sequence.isOverdue(now)
  }

  /** Whether it may be asked for its birth now; it counts as asked then, else it is asked later. */
  mayAsk(now: EpochMs): boolean {
    this.#owed = this.#askedAt !== null && Math.abs(now - this.#askedAt) < rebirthAskMs
    if (this.#owed) return false
    this.#askedAt = now
    this.sequence.giveUp()
    return true
  }
}
