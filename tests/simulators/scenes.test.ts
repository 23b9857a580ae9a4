/** The invented foundry: a valid document, calm on an ordinary day, and the same night for the same seed. */
import { describe, expect, it } from 'vitest'
import { decodePublish, Foundry, readingTopic, recipeKindOf } from '../../shared/contract/index.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'
import { hotJunctionC } from '../../shared/physics/thermocouple.ts'
import { gather, type Message } from '../../simulators/fleet.ts'
import { inventedFoundry, siteZone } from '../../simulators/foundry/index.ts'
import { sceneNamed, scenes } from '../../simulators/scenes/index.ts'
import { lastEvening, siteTime } from '../../simulators/site-time.ts'

const site = siteTime(siteZone)
const evening = lastEvening(Date.parse('2026-11-25T10:00:00Z'), site)

function play(name: string, hours: number, seed = 1) {
  const scene = sceneNamed(name)
  if (!scene) throw new Error(`no scene ${name}`)
  const { world, people } = scene.build(evening, seed)
  return { messages: gather(world, evening, evening + hours * hourMs), world, people }
}

function celsiusOf(message: Message): number | undefined {
  const { celsius, fahrenheit, microvolts, junctionCelsius = 0 } = message.reading
  if (fahrenheit !== undefined) return (fahrenheit - 32) / 1.8
  if (microvolts === undefined) return celsius
  const type = inventedFoundry.instruments.find((i) => i.id === message.instrument)?.thermocouple
  return type === undefined ? undefined : (hotJunctionC(type, microvolts, junctionCelsius) ?? undefined)
}

/** Largest rise over `overS` between two readings of one instrument, °C per minute. */
function steepest(points: { at: number; c: number }[], overS: number): number {
  let worst = 0
  let j = 0
  for (const point of points) {
    while ((points[j]?.at ?? point.at) < point.at - overS * 1_000) j++
    const before = points[j]
    if (before && point.at - before.at >= overS * 900)
      worst = Math.max(worst, ((point.c - before.c) / (point.at - before.at)) * minuteMs)
  }
  return worst
}

describe('the invented foundry', () => {
  it('is a valid document that says that it is invented', () => {
    expect(Foundry.safeParse(inventedFoundry).success).toBe(true)
    expect(inventedFoundry.site.invented).toBe(true)
  })

  it('tells for every limit what happens, what to do and by when', () => {
    for (const station of inventedFoundry.stations)
      for (const limit of station.limits) expect(limit.answer, `${station.id} ${limit.kind}`).toBeDefined()
  })

  it('says for fire: heat off or isolated, lid on, never water', () => {
    const fire = inventedFoundry.stations.filter((s) => s.kind === 'pot').flatMap((s) => s.limits)
    for (const limit of fire) expect(limit.answer?.action).toMatch(/lid on, never water/)
  })
})

describe('a scene', () => {
  it('has a sentence and publishes only what the gateway can read', () => {
    for (const { name, sentence } of scenes) {
      expect(sentence.length).toBeGreaterThan(20)
      const { messages } = play(name, 0.2)
      expect(messages.length).toBeGreaterThan(100)
      for (const m of messages) {
        const decoded = decodePublish(readingTopic(m.instrument), new TextEncoder().encode(JSON.stringify(m.reading)))
        expect(decoded.is, JSON.stringify(m)).toBe('readings')
      }
    }
  })

  it('is the same for the same seed and another for another', () => {
    const spoken = (seed: number) => JSON.stringify(play('demo', 0.5, seed).messages)
    expect(spoken(4)).toBe(spoken(4))
    expect(spoken(4)).not.toBe(spoken(5))
  })

  it('leaves every standing limit alone through two ordinary days and nights', { timeout: 60_000 }, () => {
    const { messages } = play('quiet', 48)
    const saidBy = (instrument: string) => messages.filter((m) => m.instrument === instrument)
    for (const station of inventedFoundry.stations)
      for (const limit of station.limits)
        for (const instrument of inventedFoundry.instruments) {
          if (instrument.station !== station.id || (limit.instrument ?? instrument.id) !== instrument.id) continue
          const said = saidBy(instrument.id)
          const points = said.flatMap((m) => {
            const c = celsiusOf(m)
            return c === undefined ? [] : [{ at: m.at, c }]
          })
          const name = `${instrument.id} ${limit.kind}`
          if (limit.kind === 'ceiling')
            expect(Math.max(...points.map((p) => p.c), -50), name).toBeLessThan(limit.aboveC)
          if (limit.kind === 'rise') expect(steepest(points, limit.overS), name).toBeLessThan(limit.cPerMinuteMax)
          if (limit.kind !== 'window') continue
          const values =
            limit.quantity === 'humidity'
              ? said.map((m) => m.reading.relativeHumidity ?? Number.NaN)
              : points.map((p) => p.c)
          expect(Math.min(...values), name).toBeGreaterThan(limit.from ?? -1_000)
          expect(Math.max(...values), name).toBeLessThan(limit.to ?? 1_000)
        }
  })

  it('tells the story of the night: door, cooling that stays off, welded relay', { timeout: 60_000 }, () => {
    const { messages } = play('demo', 14)
    const at = (instrument: string, hhmm: string) => {
      const when = site.instant(hhmm < '12' ? evening + 12 * hourMs : evening, hhmm)
      return messages.find((m) => m.instrument === instrument && m.at >= when)?.reading ?? {}
    }
    expect(at('d2-door', '22:00').closed).toBe(false)
    expect(at('d2-air-a', '21:30').relativeHumidity).toBeLessThan(48)
    expect(at('d2-air-a', '23:00').relativeHumidity).toBeGreaterThan(58)
    expect(Math.abs((at('d2-air-a', '23:00').celsius ?? 0) - 22)).toBeLessThan(0.8)
    expect(at('d1-air-a', '02:28').celsius).toBeGreaterThan(23.4)
    expect(at('d1-air-a', '03:30').celsius).toBeLessThan(22.8)
    expect(at('k2-air-a', '00:42').celsius).toBeLessThan(675)
    expect(at('k2-air-a', '01:10').celsius).toBeGreaterThan(690)
    expect(at('w1-mid', '06:14').celsius).toBeGreaterThan(122)
    expect(at('w1-mid', '06:14').celsius).toBeLessThan(140)
    expect(at('w1-ir', '06:10').celsius).toBeLessThan(70)
    expect(at('w1-heater', '06:10').amperes).toBeGreaterThan(2)
    expect(at('w1-heater', '06:16').amperes).toBeLessThan(0.2)
  })
})

describe('the people of the foundry', () => {
  it('start runs whose recipes exist and are of the right kind, and put the coats on in order', {
    timeout: 60_000,
  }, () => {
    const scene = sceneNamed('quiet')
    if (!scene) throw new Error('no quiet scene')
    const { world, people } = scene.build(evening, 1)
    const coats: string[] = []
    let started = 0
    for (let at = evening; at < evening + 19 * hourMs; at += 60_000) {
      for (const deed of people.between(at, at + 60_000, world)) {
        if (deed.deed === 'coat') coats.push(deed.coat)
        if (deed.deed !== 'start-run') continue
        started++
        const { kind, recipe, station } = deed.declaration
        expect(inventedFoundry.recipes.find((r) => r.id === recipe)?.kind).toBe(recipeKindOf[kind])
        expect(inventedFoundry.stations.some((s) => s.id === station)).toBe(true)
      }
      for (let s = 5_000; s <= 60_000; s += 5_000) world.step(at + s)
    }
    expect(started).toBe(6)
    expect(coats).toEqual(['coat-1', 'coat-2', 'coat-3', 'coat-4', 'slush'])
  })
})

describe('the hours of the site', () => {
  it('are those of its zone, winter and summer', () => {
    expect(site.minuteOfDay(Date.parse('2026-01-10T17:30:00Z'))).toBe(17 * 60 + 30)
    expect(site.minuteOfDay(Date.parse('2026-07-10T16:30:00Z'))).toBe(17 * 60 + 30)
    expect(site.instant(Date.parse('2026-07-10T03:00:00Z'), '17:30')).toBe(Date.parse('2026-07-10T16:30:00Z'))
  })

  it('begin the story on the evening whose night is over', () => {
    expect(new Date(lastEvening(Date.parse('2026-11-25T10:00:00Z'), site)).toISOString()).toBe(
      '2026-11-24T17:30:00.000Z',
    )
    expect(new Date(lastEvening(Date.parse('2026-11-25T03:00:00Z'), site)).toISOString()).toBe(
      '2026-11-23T17:30:00.000Z',
    )
    expect(new Date(lastEvening(Date.parse('2026-11-25T23:00:00Z'), site)).toISOString()).toBe(
      '2026-11-24T17:30:00.000Z',
    )
  })
})
