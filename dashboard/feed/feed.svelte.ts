/** The living view of the foundry: what the socket says, applied, and given to the page at most once per picture. */
import type { LiveMessage, LivePoint, SeriesId } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import { api, Refusal } from './api.ts'
import { apply, type View } from './apply.ts'
import { every, gatewayNow, type HeardClock, heard, nextFrame } from './clock.ts'
import { Socket } from './socket.ts'

export type Link = 'connecting' | 'open' | 'lost' | 'locked'
type PointsListener = (points: Readonly<Record<SeriesId, LivePoint[]>>) => void

export class Feed {
  view = $state.raw<View | null>(null)
  link = $state.raw<Link>('connecting')
  /** The gateway's time, moving on by itself; everything ages by it, also when nothing comes. */
  now = $state.raw<EpochMs>(0)
  /** Since when the gateway has not been heard, in its own time. */
  lostAt = $state.raw<EpochMs | null>(null)

  #held: View | null = null
  #clock: HeardClock | null = null
  #drawing = false
  #forgetful = false
  readonly #listeners = new Set<PointsListener>()
  readonly #socket = new Socket({
    heard: (message) => this.receive(message),
    opened: () => this.#setLink('open'),
    lost: () => void this.#lost(),
    held: () => (this.#forgetful ? null : (this.#held?.seq ?? null)),
  })

  start(): () => void {
    void this.#begin()
    const stopTicking = every(1_000, () => this.#publish())
    const comeBack = () => this.#socket.again()
    const gone = () => this.#setLink('lost')
    addEventListener('online', comeBack)
    addEventListener('offline', gone)
    return () => {
      stopTicking()
      removeEventListener('online', comeBack)
      removeEventListener('offline', gone)
      this.#socket.close()
    }
  }

  /** After the token was accepted. */
  unlock(): void {
    this.link = 'connecting'
    this.#socket.again()
  }

  /** Every point that is new, for the charts; returns how to stop listening. */
  onPoints(listener: PointsListener): () => void {
    this.#listeners.add(listener)
    return () => this.#listeners.delete(listener)
  }

  receive(message: LiveMessage): void {
    const applied = apply(this.#held, message)
    if (applied.is === 'gap') {
      this.#forgetful = true
      this.#socket.again()
      return
    }
    if (applied.is === 'repeat') return
    this.#forgetful = false
    this.#held = applied.view
    this.#clock = heard(applied.view.clock)
    for (const listener of this.#listeners) listener(applied.points)
    if (this.#drawing) return
    this.#drawing = true
    nextFrame(() => {
      this.#drawing = false
      this.#publish()
    })
  }

  async #begin(): Promise<void> {
    if (await this.#isLocked()) this.link = 'locked'
    else this.#socket.open()
  }

  async #isLocked(): Promise<boolean> {
    try {
      await api.mayEnter()
      return false
    } catch (error) {
      return error instanceof Refusal && (error.code === 'token-needed' || error.code === '401')
    }
  }

  async #lost(): Promise<void> {
    this.#setLink('lost')
    if (!(await this.#isLocked()) || this.link === 'open') return
    this.#socket.close()
    this.link = 'locked'
  }

  #setLink(link: Link): void {
    if (link === this.link) return
    this.link = link
    if (link === 'open') this.lostAt = null
    else if (link === 'lost') this.lostAt ??= this.#clock ? gatewayNow(this.#clock) : null
    this.#publish()
  }

  #publish(): void {
    this.view = this.#held
    if (this.#clock) this.now = gatewayNow(this.#clock)
  }
}
