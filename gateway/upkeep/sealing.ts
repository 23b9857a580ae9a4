/** Has finished hours sealed, in small portions with pauses between them, so that what arrives never waits for long. */
import { sealBlocksAtOnce, sealEveryMs, sealPauseMs } from '../../shared/contract/index.ts'
import type { Clock } from '../../shared/time.ts'
import type { Store } from '../store/store.ts'
import { sentenceOf } from './sentence.ts'

export class Sealing {
  readonly #store: Pick<Store, 'seal'>
  readonly #clock: Clock
  #callOff: () => void = () => {}
  #turn: Promise<void> = Promise.resolve()
  #ended = false
  blocks = 0
  trouble: string | null = null

  constructor(store: Pick<Store, 'seal'>, clock: Clock) {
    this.#store = store
    this.#clock = clock
  }

  begin(): void {
    this.#next(sealPauseMs)
  }

  #next(delayMs: number): void {
    if (this.#ended) return
    this.#callOff = this.#clock.after(delayMs, () => {
      this.#turn = this.#seal()
    })
  }

  async #seal(): Promise<void> {
    let pauseMs = sealEveryMs
    try {
      const { blocks } = await this.#store.seal(this.#clock.now(), sealBlocksAtOnce)
      this.blocks += blocks
      this.trouble = null
      if (blocks > 0) pauseMs = sealPauseMs
    } catch (error) {
      this.trouble = sentenceOf(error)
    }
    this.#next(pauseMs)
  }

  /** Resolves when what was begun is done. */
  settled(): Promise<void> {
    return this.#turn
  }

  async end(): Promise<void> {
    this.#ended = true
    this.#callOff()
    await this.#turn
  }
}
