/** Every format that the house understands, behind one door: by its topic a publish finds whoever can read it. */
import {
  decodePublish,
  isName,
  type Mapping,
  payloadBytesMax,
  siteTopicRoot,
  topicRoot,
} from '../../../shared/contract/index.ts'
import type { EpochMs } from '../../../shared/time.ts'
import { cannotRead, shown, type Understood } from './format.ts'
import { MappedReader } from './mapped.ts'
import { understandSenml } from './senml/senml.ts'
import { SparkplugHost } from './sparkplug/host.ts'
import { sparkplugRoot } from './sparkplug/topic.ts'

export type { Understood } from './format.ts'
export { guessMapping } from './guess.ts'

/** What a subscriber to an outside broker must ask for, so that Sparkplug reaches it. */
export const sparkplugFilter = `${sparkplugRoot}/#`

const ours = `${topicRoot}/`
const sparkplug = `${sparkplugRoot}/`
const senmlEnd = '/senml'

export class Formats {
  readonly #host = new SparkplugHost()
  #mapped: readonly MappedReader[] = []

  constructor(mappings: readonly Mapping[]) {
    this.adopt(mappings)
  }

  /** Mappings that hold from now on; what Sparkplug nodes have announced is kept. */
  adopt(mappings: readonly Mapping[]): void {
    this.#mapped = mappings.map((mapping) => new MappedReader(mapping))
  }

  /** What one publish means. Never throws: what cannot be read comes back with the reason, for a person. */
  understand(topic: string, payload: Uint8Array, arrivedAt: EpochMs, retained: boolean): Understood {
    if (topic.startsWith(ours) && !topic.endsWith(senmlEnd)) return { decoded: [decodePublish(topic, payload)] }
    if (payload.byteLength > payloadBytesMax)
      return cannotRead(`The payload has ${payload.byteLength} bytes; at most ${payloadBytesMax} are read.`)
    if (topic.startsWith(ours)) return this.#senml(topic, payload, arrivedAt, retained)
    if (topic.startsWith(sparkplug)) return this.#host.take(topic, payload, arrivedAt, retained)
    return this.#byMapping(topic, payload)
  }

  /** To be called about once a second, that nobody waits for ever for what was lost. */
  elapse(now: EpochMs): Understood {
    return this.#host.elapse(now)
  }

  #senml(topic: string, payload: Uint8Array, arrivedAt: EpochMs, retained: boolean): Understood {
    const instrument = topic.slice(ours.length, -senmlEnd.length)
    if (!isName(instrument) || topic.startsWith(siteTopicRoot))
      return cannotRead('The topic names no usable instrument: letters, digits and _ : . - only, at most 64.')
    return understandSenml(instrument, payload, arrivedAt, retained)
  }

  /** A topic may be covered by several mappings: one message of two probes is two instruments. */
  #byMapping(topic: string, payload: Uint8Array): Understood {
    const levels = topic.split('/')
    let all: Understood | null = null
    for (const reader of this.#mapped) {
      const one = reader.read(topic, levels, payload)
      if (one === null) continue
      all =
        all === null
          ? one
          : {
              decoded: [...all.decoded, ...one.decoded],
              leftOut: [...(all.leftOut ?? []), ...(one.leftOut ?? [])],
            }
    }
    return (
      all ??
      cannotRead(
        `No mapping covers the topic ${shown(topic)}; say under Unclaimed what it measures, or publish on ${topicRoot}/<instrument>/reading.`,
      )
    )
  }
}
