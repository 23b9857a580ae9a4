/** A month of 64 series passes in minutes: sealed as it goes, with late backlogs, and charts asked for all the while. Memory stays flat, and nobody waits longer at its end than at its beginning. */
import { type ChildProcess, fork } from 'node:child_process'
import { once } from 'node:events'
import { join } from 'node:path'
import mqtt, { type MqttClient } from 'mqtt'
import { expect, it, onTestFinished } from 'vitest'
import { verify } from '../../gateway/store/sqlite/keeping/verify.ts'
import { dayMs, hourMs, minuteMs, secondMs } from '../../shared/time.ts'
import { chance } from '../../simulators/random.ts'
import { mainProgram } from '../helpers/gateway-child.ts'
import { residentBytes } from '../helpers/resident.ts'
import { tempFolder } from '../helpers/temp-folder.ts'
import { seedOf } from '../storm/seed.ts'

/** Fewer for a quick look; what is asked for must hold whatever the length. */
const days = Number(process.env['CIREWATCH_TEST_DAYS'] ?? 30)
const seriesCount = 64
const stepMs = 10 * secondMs
/** Midnight of an invented day. */
const begin = 1_750_032_000_000
/** So much of the clock passes between two handfuls; what comes is live. */
const beatMs = 30 * secondMs
const connections = 8
const residentMbMax = 200
/** The second half may lie above the first by this much: the heap breathes. */
const growthMbMax = 15
/** The second half may take this many times as long as the first, by medians: other work on the machine has its share in it. */
const slowerMax = 2

interface Led {
  http: string
  mqttPort: number
  child: ChildProcess
  lead(at: number): Promise<void>
}

async function startLed(data: string): Promise<Led> {
  const flags = ['--data', data, '--http', '127.0.0.1:0', '--mqtt', '127.0.0.1:0', '--clock', 'led', '--log', 'error']
  const child = fork(mainProgram, flags, { execArgv: [], stdio: ['ignore', 'ignore', 'inherit', 'ipc'] })
  onTestFinished(() => void child.kill('SIGKILL'))
  const heard: { ready?: { http: string; mqtt: string }; at?: number }[] = []
  child.on('message', (message) => heard.push(message as (typeof heard)[number]))
  const wait = async (so: () => boolean) => {
    while (!so()) await once(child, 'message')
  }
  child.send({ lead: { at: begin, pace: 0 } })
  await wait(() => heard.some(({ ready }) => ready) && heard.some(({ at }) => at === begin))
  const { http, mqtt: address } = heard.find(({ ready }) => ready)?.ready ?? { http: '', mqtt: '' }
  return {
    http,
    mqttPort: Number(/:(\d+)$/.exec(address)?.[1]),
    child,
    async lead(at) {
      heard.length = 0
      child.send({ lead: { at, pace: 0 } })
      await wait(() => heard.some((message) => message.at === at))
    },
  }
}

/** What was measured of one hour of the month. */
interface Hour {
  residentMb: number
  pubackMs: number
  chartMs: number
}

class Month {
  readonly hours: Hour[] = []
  published = 0
  readonly #led: Led
  readonly #clients: MqttClient[]
  readonly #random
  /** Instruments that lost their line, and since when: what they measure meanwhile comes as one backlog. */
  readonly #away = new Map<number, number>()

  constructor(led: Led, clients: MqttClient[], seed: number) {
    this.#led = led
    this.#clients = clients
    this.#random = chance(seed, 'month')
  }

  async hour(from: number): Promise<void> {
    const pubacks: number[] = []
    for (let at = from; at < from + hourMs; at += beatMs) {
      await this.#led.lead(at + beatMs)
      const begun = performance.now()
      await Promise.all(Array.from({ length: seriesCount }, (_, nth) => this.#speak(nth, at)))
      pubacks.push(performance.now() - begun)
    }
    const chartMs = await this.#charts(from + hourMs)
    this.hours.push({
      residentMb: residentBytes(this.#led.child.pid ?? 0) / 2 ** 20,
      pubackMs: median(pubacks),
      chartMs,
    })
  }

  /** The readings of one instrument and one beat; or none, and all of them hours later. */
  async #speak(nth: number, at: number): Promise<void> {
    const since = this.#away.get(nth)
    if (since === undefined && this.#random.next() < 1 / 2_000) this.#away.set(nth, at)
    else if (since === undefined) await this.#publish(nth, at, at + beatMs)
    else if (at - since > 4 * hourMs * this.#random.next() + 10 * minuteMs)
      await this.#comeBack(nth, since, at + beatMs)
  }

  async #comeBack(nth: number, since: number, to: number): Promise<void> {
    this.#away.delete(nth)
    await this.#publish(nth, since, to)
  }

  /** Whoever is still away at the end comes back. */
  async allBack(at: number): Promise<void> {
    for (const [nth, since] of [...this.#away]) await this.#comeBack(nth, since, at)
  }

  async #publish(nth: number, from: number, to: number): Promise<void> {
    const readings = []
    for (let t = from; t < to; t += stepMs)
      readings.push({ at: t + nth, celsius: Math.round(800 + ((t / stepMs) % 50) + nth) / 10 })
    this.published += readings.length
    const client = this.#clients[nth % connections] as MqttClient
    await client.publishAsync(`cirewatch/probe-${nth}/reading`, JSON.stringify(readings), { qos: 1 })
  }

  /** A wall of charts of the last day, and one of the whole month. */
  async #charts(to: number): Promise<number> {
    const names = Array.from(
      { length: 8 },
      () => `series=probe-${Math.floor(this.#random.next() * seriesCount)}.temperature`,
    )
    const begun = performance.now()
    for (const [from, series] of [
      [to - dayMs, names.join('&')],
      [begin - hourMs, names[0]],
    ] as const) {
      const response = await fetch(`${this.#led.http}/api/v1/charts?${series}&from=${from}&to=${to}&width=800`)
      const body = (await response.json()) as { items?: { readings: number }[] }
      if (!body.items?.some(({ readings }) => readings > 0)) throw new Error(`No chart came: ${JSON.stringify(body)}`)
    }
    return performance.now() - begun
  }
}

const median = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN
const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length

it(`after ${days} days of ${seriesCount} series the gateway is as small and as quick as after the first of them`, async () => {
  const data = await tempFolder()
  const led = await startLed(data)
  const clients = await Promise.all(
    Array.from({ length: connections }, () => mqtt.connectAsync(`mqtt://127.0.0.1:${led.mqttPort}`)),
  )
  const seed = seedOf()
  const month = new Month(led, clients, seed)
  const end = begin + days * dayMs
  for (let at = begin; at < end; at += hourMs) {
    await month.hour(at)
    if ((at + hourMs - begin) % (dayMs * Math.ceil(days / 10)) === 0)
      tell(`day ${(at + hourMs - begin) / dayMs}`, month.hours.slice(-24))
  }
  await month.allBack(end)
  // Two hours later everything is in blocks.
  await led.lead(end + 2 * hourMs)
  for (let minute = 1; minute <= 30; minute++) await led.lead(end + 2 * hourMs + minute * minuteMs)
  for (const client of clients) await client.endAsync()
  led.child.kill('SIGTERM')
  await once(led.child, 'exit')

  const proof = verify(join(data, 'cirewatch.db'))
  const half = month.hours.length >> 1
  const [first, second] = [month.hours.slice(0, half), month.hours.slice(half)]
  const highest = Math.max(...month.hours.map((hour) => hour.residentMb))
  console.log(
    `seed ${seed}: ${days} days, ${month.published} readings, ${proof.sealed} of them in ${proof.blocks} blocks, ${proof.bytes} bytes on disk; highest ${highest.toFixed(0)} MB`,
  )
  tell('first half', first)
  tell('second half', second)
  expect(proof.told).toEqual([])
  expect(proof.readings).toBe(month.published)
  expect(proof.sealed).toBe(month.published)
  expect(highest).toBeLessThanOrEqual(residentMbMax)
  expect(mean(second.map((h) => h.residentMb)) - mean(first.map((h) => h.residentMb))).toBeLessThanOrEqual(growthMbMax)
  expect(median(second.map((h) => h.pubackMs))).toBeLessThanOrEqual(slowerMax * median(first.map((h) => h.pubackMs)))
  expect(median(second.map((h) => h.chartMs))).toBeLessThanOrEqual(slowerMax * median(first.map((h) => h.chartMs)))
})

function tell(what: string, hours: readonly Hour[]): void {
  const [resident, puback, chart] = (['residentMb', 'pubackMs', 'chartMs'] as const).map((key) =>
    median(hours.map((hour) => hour[key])),
  )
  console.log(
    `${what}: ${resident?.toFixed(0)} MB, 64 PUBACKs within ${puback?.toFixed(1)} ms, nine charts within ${chart?.toFixed(1)} ms (medians)`,
  )
}
