/** The held-out scenes keep what they promise: enough of each lie, each to be seen in what was said, and for ever the same. */
import { createHash } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { type DoubtKind, doubtKinds } from '../../../shared/contract/doubt.ts'
import { type LieScene, healthyScenes, lieScenes } from './scene.ts'

const seed = 4_711

interface Said {
  t: number[]
  v: number[]
}

/** All that was said, by `instrument.quantity`. */
function heard(scene: LieScene): Map<string, Said> {
  const all = new Map<string, Said>()
  for (const { t, instrument, quantity, value } of scene.readings()) {
    const id = `${scene.station.instruments[instrument]!.id}.${quantity}`
    const said = all.get(id) ?? { t: [], v: [] }
    if (said.t.length === 0) all.set(id, said)
    said.t.push(t)
    said.v.push(value)
  }
  return all
}

const ofKind = (scene: LieScene, kind: DoubtKind): LieScene['truth'] => scene.truth.filter((part) => part.kind === kind)

/** Values of one series while the lie lasts, or while it does not. */
function values(scene: LieScene, kind: DoubtKind, said: Said, lying: boolean): number[] {
  const parts = ofKind(scene, kind)
  return said.v.filter((_, i) => parts.some(({ from, to }) => said.t[i]! >= from && said.t[i]! <= to) === lying)
}

/** One series less another, each reading against the last of the other that is no older than three minutes. */
function apart(a: Said, b: Said): Said {
  const found: Said = { t: [], v: [] }
  let j = 0
  for (let i = 0; i < a.t.length; i++) {
    while (j + 1 < b.t.length && b.t[j + 1]! <= a.t[i]!) j++
    if (b.t[j] === undefined || Math.abs(a.t[i]! - b.t[j]!) > 180_000) continue
    found.t.push(a.t[i]!)
    found.v.push(a.v[i]! - b.v[j]!)
  }
  return found
}

const mean = (v: readonly number[]): number => v.reduce((sum, x) => sum + x, 0) / v.length
const middle = (v: readonly number[]): number => [...v].sort((x, y) => x - y)[v.length >> 1]!
/** Typical step from one reading to the next, after the course of the station is taken off by second differences. */
const roughness = (v: readonly number[]): number =>
  middle(v.slice(2).map((x, i) => Math.abs(x - 2 * v[i + 1]! + v[i]!)))

function liarOf(scene: LieScene, kind: DoubtKind): { liar: string; other: string } {
  const liar = ofKind(scene, kind)[0]!.instrument
  const others = scene.station.instruments.filter(
    ({ id, kind }) => id !== liar && kind !== 'contact' && kind !== 'current',
  )
  const sameThing = others.find(({ place }) => place === 'wax-middle' || place === 'kiln-air') ?? others[0]!
  return { liar: `${liar}.temperature`, other: `${sameThing.id}.temperature` }
}

/** What the lie does to liar − other: while it lies, and while not. */
function difference(scene: LieScene, kind: DoubtKind): { lying: number[]; honest: number[] } {
  const all = heard(scene)
  const { liar, other } = liarOf(scene, kind)
  const d = apart(all.get(liar)!, all.get(other)!)
  return { lying: values(scene, kind, d, true), honest: values(scene, kind, d, false) }
}

describe.each(doubtKinds)('scenes of %s', (kind) => {
  it('there are fifty, unlike one another, each lying for a third to three quarters of its time', () => {
    const scenes = [...lieScenes(kind, 50, seed)]
    expect(new Set(scenes.map(({ id }) => id)).size).toBe(50)
    expect(new Set(scenes.map(({ class: of }) => of)).size).toBeGreaterThan(1)
    expect(new Set(scenes.map(({ station }) => station.instruments[0]!.intervalMs)).size).toBeGreaterThan(1)
    for (const scene of scenes) {
      const { instruments } = scene.station
      const lies = ofKind(scene, kind)
      expect(lies.length, scene.id).toBeGreaterThan(0)
      expect(
        instruments.filter(({ kind: of }) => of !== 'contact' && of !== 'current').length,
        scene.id,
      ).toBeGreaterThan(1)
      for (const { instrument, from, to, or } of lies) {
        expect(to, scene.id).toBeGreaterThan(from)
        expect(instruments.some(({ id }) => id === instrument)).toBe(true)
        if (or !== undefined) expect(instruments.some(({ id }) => id === or)).toBe(true)
      }
      const others = scene.truth.filter((part) => part.kind !== kind)
      expect(others.every(({ instrument }) => instruments.some(({ id }) => id === instrument))).toBe(true)
    }
  })

  it('readings come in rising time, finite, and the same again; the lie takes its share of them', () => {
    for (const scene of lieScenes(kind, 4, seed)) {
      let [last, count, first] = [Number.NEGATIVE_INFINITY, 0, 0]
      const digest = createHash('sha256')
      for (const { t, value, instrument } of scene.readings()) {
        if (count++ === 0) first = t
        if (t < last || !Number.isFinite(value)) expect.fail(`${scene.id}: ${t} after ${last}, ${value}`)
        last = t
        digest.update(`${t},${instrument},${value};`)
      }
      expect(count, scene.id).toBeGreaterThan(100)
      const again = createHash('sha256')
      for (const { t, value, instrument } of scene.readings()) again.update(`${t},${instrument},${value};`)
      expect(again.digest('hex')).toBe(digest.digest('hex'))
      const lied = ofKind(scene, kind).reduce((sum, { from, to }) => sum + to - from, 0) / (last - first)
      expect(lied, scene.id).toBeGreaterThan(0.27)
      expect(lied, scene.id).toBeLessThan(0.78)
    }
  })
})

const some = 8

describe('a lie can be seen in what was said', () => {
  it.each([
    ['emissivity', 1.2],
    ['spot-too-large', 1.5],
    ['sees-skin', 1.5],
    ['sees-metal', 12],
    ['blind', 8],
    ['out-of-wax', 7],
  ] as const)('%s: lower by %d °C at least than when it is honest', (kind, leastC) => {
    for (const scene of lieScenes(kind, some, seed)) {
      const { lying, honest } = difference(scene, kind)
      expect(middle(honest) - middle(lying), scene.id).toBeGreaterThan(leastC)
    }
  })

  it.each([
    ['at-the-wall', 2.5],
    ['not-stirred', 3],
    ['wrong-type', 3],
    ['moved', 3],
  ] as const)('%s: further apart by %d °C than when it is honest', (kind, leastC) => {
    for (const scene of lieScenes(kind, some, seed)) {
      const { lying, honest } = difference(scene, kind)
      const usual = middle(honest)
      expect(mean(lying.map((x) => Math.abs(x - usual))), scene.id).toBeGreaterThan(leastC)
    }
  })

  it('in-solid: far below the bottom of the pot', () => {
    for (const scene of lieScenes('in-solid', some, seed)) {
      const all = heard(scene)
      const d = apart(
        all.get(`${ofKind(scene, 'in-solid')[0]!.instrument}.temperature`)!,
        all.get('tc-bottom.temperature')!,
      )
      expect(middle(values(scene, 'in-solid', d, true)), scene.id).toBeLessThan(-8)
    }
  })

  it('ageing: from firing to firing lower than its twin while hot', () => {
    for (const scene of lieScenes('ageing', some, seed)) {
      const all = heard(scene)
      const { liar, other } = liarOf(scene, 'ageing')
      const hot = apart(all.get(liar)!, all.get(other)!)
      const twin = all.get(other)!
      const warm = new Set(twin.t.filter((_, i) => twin.v[i]! > 600).map((t) => Math.floor(t / 600_000)))
      const kept = hot.v.filter((_, i) => warm.has(Math.floor(hot.t[i]! / 600_000)))
      const quarter = kept.length >> 2
      expect(middle(kept.slice(0, quarter)) - middle(kept.slice(-quarter)), scene.id).toBeGreaterThan(1.5)
    }
  })

  it('ordering: higher than its twin at the end of a rest than above 650 °C', () => {
    for (const scene of lieScenes('ordering', some, seed)) {
      const all = heard(scene)
      const { liar, other } = liarOf(scene, 'ordering')
      const d = apart(all.get(liar)!, all.get(other)!)
      const ends = ofKind(scene, 'ordering').map(({ to }) => to)
      const late = d.v.filter((_, i) => ends.some((to) => d.t[i]! < to - 7_200_000 && d.t[i]! > to - 18_000_000))
      expect(scene.station.instruments.find(({ id }) => `${id}.temperature` === liar)!.thermocouple).toBe('K')
      expect(middle(late) - middle(values(scene, 'ordering', d, false)), scene.id).toBeGreaterThan(0.5)
    }
  })

  it('reversed: falls when its neighbour rises', () => {
    for (const scene of lieScenes('reversed', some, seed)) {
      const all = heard(scene)
      const { liar, other } = liarOf(scene, 'reversed')
      expect(middle(values(scene, 'reversed', all.get(liar)!, true)), scene.id).toBeLessThan(
        middle(values(scene, 'reversed', all.get(other)!, true)),
      )
    }
  })

  it('stuck: one value, or a room’s two; open-circuit: an end of the scale, a code, or silence', () => {
    for (const scene of lieScenes('stuck', some, seed)) {
      const all = heard(scene)
      const { instrument } = ofKind(scene, 'stuck')[0]!
      for (const [id, said] of all)
        if (id.startsWith(`${instrument}.`)) expect(new Set(values(scene, 'stuck', said, true)).size, scene.id).toBe(1)
    }
    for (const scene of lieScenes('open-circuit', 2 * some, seed)) {
      const { liar, other } = liarOf(scene, 'open-circuit')
      const all = heard(scene)
      const lying = values(scene, 'open-circuit', all.get(liar)!, true)
      const distinct = lying.filter((value) => value === middle(lying)).length / lying.length
      if (lying.length > 0) expect(distinct, scene.id).toBeGreaterThan(0.7)
      else expect(values(scene, 'open-circuit', all.get(other)!, true).length).toBeGreaterThan(50)
    }
  })

  it.each([
    ['noise-exploded', 2.5, Number.POSITIVE_INFINITY],
    ['noise-vanished', 0, 0.5],
  ] as const)('%s: rougher by %d to %d times than before', (kind, least, most) => {
    for (const scene of lieScenes(kind, some, seed)) {
      const { liar } = liarOf(scene, kind)
      const said = heard(scene).get(liar)!
      const ratio =
        roughness(values(scene, kind, said, true)) / Math.max(1e-9, roughness(values(scene, kind, said, false)))
      expect(ratio, scene.id).toBeGreaterThanOrEqual(least)
      expect(ratio, scene.id).toBeLessThanOrEqual(most)
    }
  })

  it('clock-apart: its own time never runs backwards, and it is away while it is set', () => {
    for (const scene of lieScenes('clock-apart', some, seed)) {
      for (const [id, { t }] of heard(scene)) {
        const back = t.findIndex((at, i) => i > 0 && at < t[i - 1]!)
        expect(back, `${scene.id} ${id}`).toBe(-1)
      }
    }
  })
})

describe('healthy scenes', () => {
  const allowed: DoubtKind[] = ['blind', 'in-solid', 'not-stirred', 'sees-skin', 'ordering']

  it('sum up to the months that are asked for, and mark only what honest instruments do', () => {
    let months = 0
    const classes = new Map<string, number>()
    for (const scene of healthyScenes(30, seed)) {
      months += scene.months
      classes.set(scene.class, (classes.get(scene.class) ?? 0) + scene.months)
      for (const { kind, from, to } of scene.truth) {
        expect(allowed, scene.id).toContain(kind)
        expect(to, scene.id).toBeGreaterThan(from)
      }
    }
    expect(months).toBeGreaterThanOrEqual(30)
    for (const of of ['pot under 3 kg', 'pot 3-15 kg', 'pot over 15 kg', 'kiln electric', 'kiln gas', 'dry room'])
      expect(classes.get(of) ?? 0, of).toBeGreaterThan(1)
  })

  it('twins and infrared stay within their honest differences, but where it is marked', () => {
    for (const scene of healthyScenes(8, seed)) {
      const all = heard(scene)
      const known = scene.station.instruments.some(({ infrared }) => infrared?.emissivity !== undefined)
      const pair = all.has('ir.temperature') && !known ? ['ir', 'tc-middle'] : ['tc-b', 'tc-a']
      const [a, b] = pair.map((id) => all.get(`${id}.temperature`))
      if (!a || !b) continue
      const d = apart(a, b)
      const unmarked = d.v.filter((_, i) => !scene.truth.some(({ from, to }) => d.t[i]! >= from && d.t[i]! <= to))
      expect(Math.abs(middle(unmarked)), scene.id).toBeLessThan(pair[0] === 'ir' ? 4.5 : 9)
    }
  })
})

describe('frozen', () => {
  it('three scenes of each kind, and three healthy ones, are what they were', () => {
    const digest = createHash('sha256')
    const add = (scene: LieScene): void => {
      digest.update(`${scene.id}|${JSON.stringify(scene.truth.slice(0, 3))}|${JSON.stringify(scene.station)}|`)
      let count = 0
      for (const { t, instrument, quantity, value } of scene.readings())
        if (count++ % 997 === 0) digest.update(`${t},${instrument},${quantity},${value.toFixed(2)};`)
      digest.update(`${count}\n`)
    }
    for (const kind of doubtKinds) for (const scene of lieScenes(kind, 3, 1)) add(scene)
    for (const scene of healthyScenes(3, 1)) add(scene)
    expect(digest.digest('hex')).toBe('03e4e0daa350217bfc5bafdc6902feaae208118470e018a421c4c6ce8fbb7acf')
  })
})
