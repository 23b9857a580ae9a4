/** Whom a burnout calls, and when it stops calling: soak, early leave, loss of heat, bands, steps for people; told from ramps and holds of minutes. */
import { describe, expect, it } from 'vitest'
import type { House } from '../../shared/judge/index.ts'
import { noon, type Setting, Tale } from './tale.ts'

const minute = 60
const hour = 3_600

const setting: Setting = {
  stations: [{ id: 'K', name: 'Kiln', kind: 'kiln' }] as unknown as Setting['stations'],
  instruments: ['air', 'load'].map((id) => ({
    id,
    name: id,
    kind: 'thermocouple',
    station: 'K',
    intervalS: 60,
    place: `kiln-${id}`,
  })),
  recipes: [
    {
      kind: 'burnout',
      id: 'b',
      name: 'b',
      startC: 20,
      segments: [
        { kind: 'ramp', toC: 700, cPerHour: 340, toleranceC: 20, governs: 'air' },
        { kind: 'hold', minutes: 120, toleranceC: 10, governs: 'all', controllerMinutes: 170 },
        { kind: 'ramp', toC: 450, cPerHour: 250, toleranceC: 20, governs: 'air' },
      ],
      bands: [{ name: 'quartz inversion', fromC: 553, toC: 593, riseCPerHourMax: 300, fallCPerHourMax: 300 }],
      hands: [
        { id: 'vent', name: 'Open the vent', what: 'vent', segment: 0, atC: 300 },
        { id: 'pour', name: 'Pour', what: 'pour', segment: 2 },
      ],
      ready: { governs: 'load', atMostC: 460, minutes: 10 },
    },
  ] as unknown as NonNullable<Setting['recipes']>,
}

/** The kiln's own programme leaves its hold then. */
const leavesS = 2 * hour + 170 * minute

/** 340 °C/h to 700 °C within two hours, held for 170 minutes, then down at 250 °C/h. */
function line(s: number): number {
  if (s <= 2 * hour) return 20 + (340 * s) / hour
  if (s <= leavesS) return 700
  return Math.max(450, 700 - (250 * (s - leavesS)) / hour)
}

interface Bend {
  air?: (s: number) => number
  load?: (s: number) => number | null
  toS?: number
  onEach?: (tale: Tale, s: number) => void
}

function led({ air = line, load, toS = 7 * hour, onEach }: Bend): Tale {
  const tale = new Tale(setting)
  tale.starts('r', 0, { kind: 'burnout', station: 'K', recipe: 'b' })
  let core = 20
  for (let s = 0; s <= toS; s += minute) {
    core += (air(s) - core) * (minute / (20 * minute))
    tale.reads('air.temperature', s, air(s))
    const seen = load ? load(s) : core
    if (seen !== null) tale.reads('load.temperature', s, seen)
    onEach?.(tale, s)
  }
  return tale
}

describe('a burnout that keeps its recipe', () => {
  it('calls for nothing but its steps for people: each when it is due, until somebody says that it is done', () => {
    const tale = led({
      toS: 8 * hour,
      onEach: (t, s) => {
        if (s === 2 * hour)
          t.tell({
            kind: 'act',
            act: 'run-step',
            run: 'r',
            step: { step: 'hand', hand: 'vent' },
            by: 'Bo',
            at: noon + s * 1_000,
          })
      },
    })
    const kinds = [...tale.findings.values()].map(
      (f) => f.kind + (f.kind === 'band-too-fast' ? ` ${f.subject.split(' ')[1]}` : ` ${f.subject}`),
    )
    // Both pass the band at 340 °C/h, where 300 are borne: told once for each, and ended when it is out.
    expect(kinds).toEqual(['hand-due r vent', 'band-too-fast air', 'band-too-fast load', 'hand-due r pour'])
    expect(tale.told('band-too-fast').map((f) => f.cleared)).not.toContain(null)
    const [vent] = tale.told('hand-due')
    // 300 °C at 340 °C/h from 20: after 49.4 min, seen with the next minute.
    expect(vent).toEqual({ since: 50 * minute, raised: 50 * minute, cleared: 2 * hour + minute })
    expect(tale.progress('r', 'burnout')).toMatchObject({ phase: 'through', segment: 3 })
  })

  it('is ready when its load has been at 460 °C or below for ten minutes, and not while it is still cold at the beginning', () => {
    const views: string[] = []
    const tale = led({ toS: 8 * hour, onEach: (t) => void views.push(t.progress('r', 'burnout').ready.is) })
    const { ready } = tale.progress('r', 'burnout')
    expect(ready.is).toBe('ready')
    // The load lags by twenty minutes: the air is at 450 after 6 h, the load some 40 minutes later near it.
    expect(ready.is === 'ready' && (ready.since - noon) / 3_600_000).toBeGreaterThan(6.2)
    expect(views.slice(0, 6 * 60)).not.toContain('ready')
  })
})

describe('the end of the programme', () => {
  it('is called as too early while the kiln still holds: a load that comes to its hold two hours late cannot be through by then', () => {
    // The load comes to 690 °C at 4:00; the programme leaves at 4:50 with 50 minutes of two hours.
    const tale = led({ load: (s) => Math.min(700, 690 - (4 * hour - s) / 30), toS: leavesS - 10 * minute })
    const [call] = tale.told('leaves-early')
    expect(call?.raised).toBeLessThan(4.6 * hour)
    const leaves = tale.progress('r', 'burnout').leavesEarly
    const finding = [...tale.findings.values()].find((f) => f.kind === 'leaves-early')
    expect(finding?.facts).toMatchObject({ askedMs: 2 * hour * 1_000 })
    // Its air came into the hold's tolerance two minutes before its full height.
    expect(Math.abs((leaves?.at ?? 0) - noon - leavesS * 1_000)).toBeLessThan(3 * minute * 1_000)
    expect(Math.abs((leaves?.creditedMs ?? 0) - 50 * minute * 1_000)).toBeLessThan(3 * minute * 1_000)
  })

  it('is not called where the credit is full before it', () => {
    expect(led({ toS: 5 * hour }).told('leaves-early')).toEqual([])
  })
})

describe('a hold that stops counting', () => {
  it('calls after five minutes where the load falls out of it, and is quiet again when it is back', () => {
    // Credited from about 3:25 on; from 4:00 to 4:20 the load is at 680.
    const tale = led({
      load: (s) => (s < 4 * hour || s > 4 * hour + 20 * minute ? Math.min(700, line(s)) : 680),
      toS: 5 * hour,
    })
    const [call] = tale.told('soak-paused')
    expect(call).toMatchObject({ since: 4 * hour, raised: 4 * hour + 5 * minute })
    expect(call?.cleared).toBeGreaterThan(4 * hour + 20 * minute)
    expect(call?.cleared).toBeLessThan(4 * hour + 24 * minute)
  })

  it('does not call for a load that has not yet come to it: a load always lags', () => {
    expect(led({ toS: 3 * hour }).told('soak-paused')).toEqual([])
  })
})

describe('a kiln without heat', () => {
  /** From 3:00 on it falls by 80 °C/h for half an hour, then comes back as fast. */
  const outage = (s: number) => {
    const at = s - 3 * hour
    if (at < 0 || at > hour) return line(s)
    return 700 - (at < hour / 2 ? at : hour - at) * (80 / hour)
  }

  it('is called, and what it lost is told: from where, to where, how fast, through which bands', () => {
    const tale = led({ air: outage, toS: 5 * hour })
    const [call] = tale.told('heat-lost')
    expect(call?.since).toBeGreaterThanOrEqual(3 * hour - minute)
    expect(call?.since).toBeLessThanOrEqual(3 * hour + 2 * minute)
    expect(call?.raised).toBeLessThan(3 * hour + 15 * minute)
    expect(call?.cleared).not.toBeNull()
    const [loss] = tale.progress('r', 'burnout').losses
    expect(loss).toMatchObject({ what: 'unheated', bands: [] })
    const air = loss?.fell.find((f) => f.probe === 'air')
    expect(air?.fromC).toBeCloseTo(700, 0)
    expect(air?.toC).toBeCloseTo(660, 0)
  })

  it('is not called for an open door, nor for what overshoots and comes back', () => {
    const door = (s: number) =>
      s >= 3 * hour && s < 3 * hour + 5 * minute ? 560 : s >= 3 * hour && s < 3 * hour + 12 * minute ? 690 : line(s)
    const opened = led({ air: door, toS: 5 * hour })
    expect(opened.told('heat-lost')).toEqual([])
    const over = (s: number) => (s > 2 * hour && s < 3 * hour ? 700 + 25 * Math.exp(-(s - 2 * hour) / 600) : line(s))
    expect(led({ air: over, toS: 4 * hour }).told('heat-lost')).toEqual([])
  })
})

describe('what the judge holds of a burnout', () => {
  it('survives being written down and read again at any moment', () => {
    const whole = led({ toS: 4 * hour })
    const broken = led({
      toS: 4 * hour,
      onEach: (tale, s) => {
        if (s % (7 * minute) !== 0) return
        const { stations } = tale.house
        tale.house = { ...tale.house, stations: JSON.parse(JSON.stringify(stations)) as House['stations'] }
      },
    })
    expect(JSON.stringify(broken.house.stations)).toBe(JSON.stringify(whole.house.stations))
  })
})

describe('a kiln that leaves its recipe and is then not seen', () => {
  it('waits for no tick that turns nothing: what nobody sees runs no delay', () => {
    const tale = new Tale(setting)
    tale.starts('r', 0, { kind: 'burnout', station: 'K', recipe: 'b' })
    for (let s = 0; s <= hour; s += minute) tale.reads('air.temperature', s, line(s))
    for (let s = hour + minute; s <= hour + 5 * minute; s += minute) tale.reads('air.temperature', s, line(s) - 80)
    for (let ticks = 0; Number.isFinite(tale.due()) && tale.due() < 30 * hour; ticks++) {
      expect(ticks, 'the watch never comes to rest').toBeLessThan(50)
      tale.tick(tale.due())
    }
    expect(tale.progress('r', 'burnout').temperatureC).toBeNull()
    expect(tale.told('off-recipe')).toEqual([])
  })

  it('goes on being off its recipe while it cannot be seen, and is back only once that was seen to last', () => {
    const tale = new Tale(setting)
    tale.starts('r', 0, { kind: 'burnout', station: 'K', recipe: 'b' })
    const reads = (from: number, to: number, off: number) => {
      for (let s = from; s <= to; s += minute) tale.reads('air.temperature', s, line(s) + off)
    }
    reads(0, 30 * minute, 0)
    reads(31 * minute, 50 * minute, -60)
    expect(tale.told('off-recipe')).toHaveLength(1)
    reads(51 * minute, 51 * minute, 0)
    tale.bad('air.temperature', 52 * minute)
    while (tale.due() < 80 * minute) tale.tick(tale.due())
    expect(tale.told('off-recipe')[0]?.cleared).toBeNull()
    reads(80 * minute, 90 * minute, 0)
    expect(tale.told('off-recipe')[0]?.cleared).not.toBeNull()
  })
})
