/** The listening side of Sparkplug B: knows what each edge node announced, reads its data by that, and asks for what was lost. */
import type { Decoded } from '../../../../shared/contract/index.ts'
import type { EpochMs } from '../../../../shared/time.ts'
import { cannotRead, passedOver, type Say, shown, type Understood } from '../format.ts'
import { Gathered } from '../gathered.ts'
import { sumOf } from '../naming.ts'
import { devicesPerNodeMax, edgeNodesMax, metricNameLettersMax, metricsMax, metricsPerNodeMax } from './limits.ts'
import { instrumentsOf, isAboutItself, type Known, unitOfMetric } from './metric.ts'
import { EdgeNode, type Held } from './node.ts'
import { decodeSparkplug, encodeSparkplug, type Metric, type SparkplugPayload } from './payload.ts'
import { addReading } from './readings.ts'
import { type Address, addressOf, rebirthTopic } from './topic.ts'
import { booleanType, datatypeOf, isMeasured } from './value.ts'

/** A message on its way through. */
interface Message {
  address: Address
  payload: SparkplugPayload
  seq: number | null
  sum: number
  at: EpochMs
}

function unreadable(reason: string): Decoded {
  return { is: 'unreadable', instrument: null, reason }
}

function presence(instruments: readonly string[], online: boolean): Decoded[] {
  return instruments.map((instrument) => ({ is: 'presence', instrument, online }))
}

function bdSeqOf({ metrics }: SparkplugPayload): bigint | null {
  const carried = metrics.find(({ name }) => name === 'bdSeq')?.carried
  return carried?.as === 'long' ? carried.value : carried?.as === 'int' ? BigInt(carried.value) : null
}

/** Two births of one name in one message: the first counts. */
function announcedIn({ metrics }: SparkplugPayload): Map<string, Metric> {
  const named = new Map<string, Metric>()
  for (const metric of metrics)
    if (metric.name !== undefined && metric.name !== '' && !isAboutItself(metric.name) && !named.has(metric.name))
      named.set(metric.name, metric)
  return named
}

export class SparkplugHost {
  readonly #nodes = new Map<string, EdgeNode>()

  /** What a publish below `spBv1.0/` means. Never throws. */
  take(topic: string, bytes: Uint8Array, arrivedAt: EpochMs, retained = false): Understood {
    const address = addressOf(topic)
    if (address === null) return { decoded: [] }
    if (typeof address === 'string') return cannotRead(address)
    // A birth or a death that a broker remembers says how things stood, not how they stand.
    if (retained) return passedOver('The message comes from a broker’s memory.')
    const payload = decodeSparkplug(bytes)
    if (typeof payload === 'string') return cannotRead(payload)
    const seq = payload.seq !== undefined && payload.seq <= 255n ? Number(payload.seq) : null
    const message = { address, payload, seq, sum: sumOf(bytes), at: arrivedAt }
    if (address.kind === 'death') return this.#death(message)
    if (seq === null) return cannotRead('The payload has no number of order (seq) from 0 to 255.')
    const node = this.#nodeOf(message)
    if (node === null) return cannotRead(`More than ${edgeNodesMax} edge nodes are speaking; this one is new.`)
    node.touchedAt = arrivedAt
    return address.kind === 'birth' ? this.#birth(node, message, seq) : this.#data(node, message, seq)
  }

  /** To be called about once a second: asks for the birth of those from whom something is missing for too long. */
  elapse(now: EpochMs): Understood {
    const say: Say[] = []
    for (const node of this.#nodes.values()) {
      node.forget(now)
      say.push(...this.#overdue(node, now))
    }
    return { decoded: [], say }
  }

  /** How much is remembered. */
  state(): { nodes: number; metrics: number; held: number } {
    let metrics = 0
    let held = 0
    for (const node of this.#nodes.values()) {
      metrics += node.metrics
      held += node.heldMetrics
    }
    return { nodes: this.#nodes.size, metrics, held }
  }

  #nodeOf({ address: { group, node }, at }: Message): EdgeNode | null {
    const key = `${group}/${node}`
    const known = this.#nodes.get(key)
    if (known) return known
    if (this.#nodes.size >= edgeNodesMax && !this.#makeRoom()) return null
    const made = new EdgeNode(group, node, at)
    this.#nodes.set(key, made)
    return made
  }

  /** The one that has been dead or unborn for longest is forgotten. */
  #makeRoom(): boolean {
    let oldest: [string, EdgeNode] | null = null
    for (const one of this.#nodes)
      if (!one[1].born && (oldest === null || one[1].touchedAt < oldest[1].touchedAt)) oldest = one
    return oldest !== null && this.#nodes.delete(oldest[0])
  }

  #askBirth(node: EdgeNode, now: EpochMs): Say[] {
    if (!node.mayAsk(now)) return []
    const metric: Metric = {
      name: 'Node Control/Rebirth',
      timestamp: BigInt(now),
      datatype: booleanType,
      carried: { as: 'boolean', value: true },
    }
    const payload = encodeSparkplug({ timestamp: BigInt(now), metrics: [metric] })
    return [{ topic: rebirthTopic(node.group, node.node), payload }]
  }

  #overdue(node: EdgeNode, now: EpochMs): Say[] {
    return node.wantsAsking(now) ? this.#askBirth(node, now) : []
  }

  /** While earlier messages are still missing, the birth may be among them. */
  #unlessOnItsWay(node: EdgeNode, now: EpochMs): Say[] {
    return node.born && node.sequence.waits ? this.#overdue(node, now) : this.#askBirth(node, now)
  }

  /** Why this birth cannot be remembered; null where it can. */
  #birthTrouble(node: EdgeNode, device: string | null, named: ReadonlyMap<string, Metric>): string | null {
    for (const name of named.keys())
      if (name.length > metricNameLettersMax) return `A metric has a name of more than ${metricNameLettersMax} letters.`
    const more = named.size - node.metricsOf(device)
    if (node.metrics + more > metricsPerNodeMax)
      return `The edge node announces more than ${metricsPerNodeMax} metrics.`
    if (!node.knows(device) && node.devices > devicesPerNodeMax)
      return `The edge node announces more than ${devicesPerNodeMax} devices.`
    return this.state().metrics + more > metricsMax
      ? `All edge nodes together announce more than ${metricsMax} metrics.`
      : null
  }

  #birth(node: EdgeNode, message: Message, seq: number): Understood {
    const { address, payload, sum, at } = message
    const { device } = address
    const named = announcedIn(payload)
    const trouble = this.#birthTrouble(node, device, named)
    if (trouble !== null) return cannotRead(trouble)
    // Without its node's birth nobody knows where it stands in the order.
    if (device !== null && !node.born) return this.#beforeBirth(node, message, seq)
    if (node.hadBirth(sum)) return passedOver('The same birth came before.')
    const say: Say[] = []
    if (device === null) node.beginSession(bdSeqOf(payload), seq, sum)
    else if (node.sequence.take(seq, sum, at) === 'lost') say.push(...this.#askBirth(node, at))

    const instruments = instrumentsOf(address, [...named.keys()])
    const gathered = new Gathered()
    const leftOut: string[] = []
    const known: { known: Known; alias: bigint | undefined }[] = []
    for (const [name, metric] of named) {
      const datatype = datatypeOf(metric)
      const instrument = instruments.get(name) ?? name
      const one = { name, device, instrument, datatype, unit: unitOfMetric(metric, name, datatype) }
      known.push({ known: one, alias: metric.alias })
      const why = addReading(gathered, one, metric, payload.timestamp)
      if (why !== null) leftOut.push(why)
    }
    node.announce(device, payload.timestamp, known)
    const measuring = known.filter(({ known: { datatype } }) => isMeasured(datatype))
    const back = node.back(measuring.map(({ known: { instrument } }) => instrument))
    for (const held of node.released(device, seq, payload.timestamp, at)) this.#read(node, held, gathered, leftOut)
    say.push(...this.#overdue(node, at))
    return { decoded: [...presence(back, true), ...gathered.decoded()], say, leftOut }
  }

  #beforeBirth(node: EdgeNode, { address, payload, at }: Message, seq: number): Understood {
    const who = address.device === null || !node.born ? 'its edge node' : `its device ${shown(address.device)}`
    if (address.kind === 'data') this.#hold(node, address.device, payload, payload.metrics, seq, at)
    const decoded = [unreadable(`The message came before the birth of ${who} was heard.`)]
    return { decoded, say: this.#unlessOnItsWay(node, at) }
  }

  #hold(
    node: EdgeNode,
    device: string | null,
    { timestamp }: SparkplugPayload,
    metrics: readonly Metric[],
    seq: number,
    arrivedAt: EpochMs,
  ): void {
    // Only numbers, truths and their quality are ever read, so nothing long is held.
    const short = metrics
      .filter(({ carried, name = '' }) => carried?.as !== 'string' && name.length <= metricNameLettersMax)
      .map(({ properties, ...rest }) => {
        const quality = properties?.get('Quality')
        return quality === undefined ? rest : { ...rest, properties: new Map([['Quality', quality]]) }
      })
    node.hold({ device, seq, sentAt: timestamp, metrics: short, arrivedAt })
  }

  /** Adds the readings of a message; the metrics in it that nobody announced. */
  #read(
    node: EdgeNode,
    held: Pick<Held, 'device' | 'sentAt' | 'metrics'>,
    gathered: Gathered,
    leftOut: string[],
  ): Metric[] {
    const strangers: Metric[] = []
    for (const metric of held.metrics) {
      if (metric.alias === undefined && isAboutItself(metric.name ?? '')) continue
      const known = node.find(held.device, metric, held.sentAt)
      const why = known && addReading(gathered, known, metric, held.sentAt)
      if (!known) strangers.push(metric)
      else if (typeof why === 'string') leftOut.push(why)
    }
    return strangers
  }

  #data(node: EdgeNode, message: Message, seq: number): Understood {
    const { address, payload, sum, at } = message
    const { device } = address
    if (!node.born) return this.#beforeBirth(node, message, seq)
    const place = node.sequence.take(seq, sum, at)
    if (!node.isBorn(device)) return this.#beforeBirth(node, message, seq)
    const gathered = new Gathered()
    const leftOut: string[] = []
    const { metrics, timestamp: sentAt } = payload
    const strangers = this.#read(node, { device, sentAt, metrics }, gathered, leftOut)
    const decoded = gathered.decoded()
    const [first] = strangers
    if (first) {
      const what = first.alias === undefined ? shown(first.name ?? '') : `the alias ${first.alias}`
      decoded.push(unreadable(`No birth has announced ${what}.`))
      this.#hold(node, device, payload, strangers, seq, at)
    }
    if (place === 'lost') return { decoded, say: this.#askBirth(node, at), leftOut }
    return { decoded, say: first ? this.#unlessOnItsWay(node, at) : this.#overdue(node, at), leftOut }
  }

  #death({ address, payload, seq, sum, at }: Message): Understood {
    const { group, node: id, device } = address
    const node = this.#nodes.get(`${group}/${id}`)
    if (!node?.born) return passedOver('The death is of an edge node whose birth was not heard.')
    if (device === null) {
      // A will of a connection before this one comes when that one is found dead, perhaps long after.
      if (bdSeqOf(payload) !== node.bdSeq) return passedOver('The death belongs to a session that had already ended.')
      return { decoded: presence(node.end(null), false) }
    }
    const place = seq === null ? 'next' : node.sequence.take(seq, sum, at)
    if (place === 'again' || node.isFromBefore(device, payload.timestamp))
      return passedOver('The death belongs to an earlier life of the device.')
    const say = place === 'lost' ? this.#askBirth(node, at) : this.#overdue(node, at)
    return { decoded: presence(node.end(device), false), say }
  }
}
