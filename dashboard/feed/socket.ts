/** The line to the gateway: one WebSocket that comes back by itself and asks for what it missed. */
import type { LiveMessage } from '../../shared/contract/index.ts'
import { after, steadyMs } from './clock.ts'

/** Pauses between two tries, ms; the last one repeats. Reason: a gateway that restarts is back within seconds, a dead one is not hammered. */
const pausesMs = [300, 1_000, 2_000, 4_000, 8_000]
/** So long without a word, and we ask over HTTP whether anybody is there: a broken line does not always say so. */
const doubtMs = 15_000
const answerMsMax = 4_000

export interface SocketEars {
  heard(message: LiveMessage): void
  opened(): void
  lost(): void
  /** The seq held, to resume behind it; null for a fresh welcome. */
  held(): number | null
}

export class Socket {
  readonly #ears: SocketEars
  #line: WebSocket | null = null
  #tries = 0
  #cancel: () => void = () => {}
  #lastWordMs = 0
  #over = false

  constructor(ears: SocketEars) {
    this.#ears = ears
  }

  open(): void {
    this.#over = false
    this.#cancel()
    const held = this.#ears.held()
    const scheme = location.protocol === 'https:' ? 'wss' : 'ws'
    const line = new WebSocket(`${scheme}://${location.host}/api/v1/live${held === null ? '' : `?after=${held}`}`)
    this.#line = line
    line.onopen = () => {
      this.#tries = 0
      this.#lastWordMs = steadyMs()
      this.#doubt(line)
      this.#ears.opened()
    }
    line.onmessage = (event) => {
      if (line !== this.#line) return
      this.#lastWordMs = steadyMs()
      this.#ears.heard(JSON.parse(String(event.data)) as LiveMessage)
    }
    line.onclose = () => this.#drop(line)
  }

  /** Begins again at once: after a gap, or when the network comes back. */
  again(): void {
    const line = this.#line
    this.#line = null
    line?.close()
    if (!this.#over) this.open()
  }

  close(): void {
    this.#over = true
    this.#cancel()
    const line = this.#line
    this.#line = null
    line?.close()
  }

  #drop(line: WebSocket): void {
    if (line !== this.#line) return
    this.#line = null
    line.close()
    this.#cancel()
    this.#ears.lost()
    if (this.#over) return
    const pause = pausesMs[Math.min(this.#tries, pausesMs.length - 1)] as number
    this.#tries += 1
    this.#cancel = after(pause, () => this.open())
  }

  #doubt(line: WebSocket): void {
    this.#cancel = after(doubtMs, () => {
      if (line !== this.#line) return
      if (steadyMs() - this.#lastWordMs < doubtMs) this.#doubt(line)
      else void this.#ask(line)
    })
  }

  async #ask(line: WebSocket): Promise<void> {
    const alive = await fetch('/healthz', { cache: 'no-store', signal: AbortSignal.timeout(answerMsMax) }).then(
      (answer) => answer.ok,
      () => false,
    )
    if (line !== this.#line) return
    if (alive) this.#doubt(line)
    else this.#drop(line)
  }
}
