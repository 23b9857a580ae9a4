/** An ear at the gateway's live line: hears, loses the line, comes back with the last seq it holds, and remembers what did not join. */
import type { Hub, Listener } from '../../gateway/live/hub.ts'
import type { Frame, LiveMessage } from '../../shared/contract/index.ts'

/** What was heard without a gap: readings between two seqs. */
export interface Stretch {
  after: number
  upTo: number
  readings: number
}

export class Ear {
  /** Sentences about what should not have been heard. */
  readonly complaints: string[] = []
  readonly stretches: Stretch[] = []
  resumed = 0
  #leave: () => void = () => {}
  #isFirst = true

  constructor(hub: Hub) {
    this.join(hub)
  }

  join(hub: Hub): void {
    const held = this.stretches.at(-1)?.upTo ?? null
    this.#isFirst = true
    let gone = false
    const listener: Listener = {
      send: (text) => {
        if (!gone) this.#hear(JSON.parse(text) as LiveMessage, held)
      },
      waiting: () => 0,
      cut: () => {
        gone = true
      },
    }
    const leave = hub.join(listener, held)
    this.#leave = () => {
      gone = true
      leave()
    }
  }

  lose(): void {
    this.#leave()
  }

  #hear(message: LiveMessage, held: number | null): void {
    if (message.is === 'welcome') {
      if (!this.#isFirst) this.complaints.push('A welcome came in the middle.')
      if (message.resumed && message.seq !== held) this.complaints.push(`Held ${held}, was resumed at ${message.seq}.`)
      if (message.head < message.seq) this.complaints.push(`The head ${message.head} lies before ${message.seq}.`)
      if (message.resumed) this.resumed++
      else this.stretches.push({ after: message.seq, upTo: message.seq, readings: 0 })
    } else if (this.#isFirst) this.complaints.push('A frame came before the welcome.')
    else this.#frame(message)
    this.#isFirst = false
  }

  #frame(frame: Frame): void {
    const stretch = this.stretches.at(-1) as Stretch
    if (frame.after !== stretch.upTo)
      this.complaints.push(`Held ${stretch.upTo}, the next frame begins after ${frame.after}.`)
    if (frame.seq < frame.after) this.complaints.push(`A frame goes back from ${frame.after} to ${frame.seq}.`)
    const points = Object.values(frame.readings ?? {}).reduce((sum, list) => sum + list.length, 0)
    stretch.readings += frame.standFor ?? points
    stretch.upTo = frame.seq
  }
}
