/** The bodies and instruments behind the held-out scenes behave as pots, kilns, rooms, wires and surfaces do. */
import { describe, expect, it } from 'vitest'
import { Chance } from './chance.ts'
import { emf, fromEmf, mistakenC, reversedC } from './emf.ts'
import { fires } from './kiln-bench.ts'
import { Kiln, Wire } from './kiln.ts'
import { type PotMake, Pot, infraredC } from './pot.ts'
import { grey, radiance, shownC } from './radiation.ts'
import { Room, hall, saturationPa } from './room.ts'
import { Sensor, type SensorMake } from './sensor.ts'

describe('a surface shines as Planck says', () => {
  // SCIENCE: 8–14 µm, W/(m² sr), our published check rows.
  it.each([
    [0, 35.15196],
    [23, 51.76431],
    [60, 86.93204],
    [100, 136.7783],
    [200, 311.4294],
    [800, 2194.691],
    [1_000, 2961.563],
  ])('at %d °C with %d', (celsius, sent) => {
    expect(radiance(celsius) / sent).toBeCloseTo(1, 5)
  })

  // Set 0.95, surroundings and compensation 23 °C: true emissivity, true and shown temperature.
  it.each([
    [0.05, 60, 25.3],
    [0.05, 100, 28.4],
    [0.09, 200, 50],
    [0.16, 100, 39.4],
    [0.55, 100, 72.3],
    [0.79, 600, 529.5],
    [0.92, 60, 58.98],
    [0.98, 60, 61.01],
  ])('emissivity %d at %d °C is shown as %d °C', (emissivity, trueC, shown) => {
    // Printed to a tenth or a hundredth.
    expect(Math.abs(shownC(grey(emissivity, trueC, 23), 0.95, 23) - shown)).toBeLessThan(0.06)
  })

  it('an instrument that takes off no background shows 62.47 °C for 60 °C', () => {
    expect(shownC(grey(0.95, 60, 23), 0.95, undefined)).toBeCloseTo(62.47, 2)
  })
})

describe('a wire gives the voltage of its type', () => {
  // Published slopes, µV/°C.
  it.each([
    ['K', 65, 41.48],
    ['K', 200, 39.97],
    ['K', 600, 42.51],
    ['K', 870, 40.31],
    ['N', 600, 38.96],
    ['N', 200, 32.99],
    ['S', 600, 10.21],
    ['S', 870, 11.11],
    ['R', 870, 12.65],
    ['T', 65, 44.08],
    ['T', 200, 53.15],
    ['J', 200, 55.51],
    ['J', 600, 58.49],
    ['E', 65, 64.58],
    ['E', 600, 80.66],
  ] as const)('type %s at %d °C changes by %d µV a degree', (type, celsius, slope) => {
    // Our tables are coarse: to 2 %.
    expect(Math.abs((500 * (emf(type, celsius + 1) - emf(type, celsius - 1))) / slope - 1)).toBeLessThan(0.02)
  })

  it('two published cold-junction examples come out', () => {
    expect(fromEmf('K', 1.1 + emf('K', 23))).toBeCloseTo(49.91, 0)
    expect(fromEmf('K', 4.096 + emf('K', 25))).toBeCloseTo(124.31, 0)
  })

  it('the right type is right, a wrong one is off by more the hotter it gets, exchanged leads fall', () => {
    expect(mistakenC('N', 'N', 640, 25)).toBeCloseTo(640, 2)
    const off = [100, 300, 600, 900].map((hot) => Math.abs(mistakenC('K', 'N', hot, 25) - hot))
    expect(off).toEqual([...off].sort((a, b) => a - b))
    expect(off[0]).toBeGreaterThan(20)
    expect(reversedC('K', 100, 25)).toBeLessThan(-50)
    expect(reversedC('K', 110, 25)).toBeLessThan(reversedC('K', 100, 25))
    expect(reversedC('K', 700, 25)).toBe(-270)
  })
})

const painting: PotMake = {
  kg: 1.5,
  aspect: 0.6,
  layers: 8,
  powerW: 250,
  floorShare: 0.6,
  vigour: 1,
  skinFilm: 700,
  meltsFromC: 52,
  meltsToC: 62,
  lossFilm: 5.5,
  control: { kind: 'switch', bandC: 4 },
  feelerOffC: 0,
}

function pot(change: Partial<PotMake>, day: Partial<Pot['day']>): Pot {
  const idle = {
    startC: 21,
    ambientC: () => 21,
    setC: () => undefined,
    lid: () => false,
    stir: () => 0,
    topUp: () => 0,
  }
  return new Pot({ ...painting, ...change }, { ...idle, ...day }, new Chance(1))
}

function run(body: { advance(dtS: number, tS: number): void }, toS: number, fromS = 0, stepS = 5): void {
  for (let tS = fromS + stepS; tS <= toS; tS += stepS) body.advance(stepS, tS)
}

function minutesFromTo(body: Pot, fromC: number, toC: number): number {
  let [tS, sinceS] = [0, 0]
  while (body.waxC(0.5) > toC && tS < 200_000) {
    tS += 5
    body.advance(5, tS)
    if (body.waxC(0.5) > fromC) sinceS = tS
  }
  return (tS - sinceS) / 60
}

describe('a pot behaves as one', () => {
  // Own arithmetic of TRADE for plausible losses; the shapes of pots differ by far more than a third.
  it.each([
    [1.5, 7, 105, 95, 11],
    [6, 3.4, 105, 95, 25],
    [40, 2.4, 85, 74, 100],
  ])('%d kg (loss %d) cools from %d to %d °C in some %d min', (kg, lossFilm, fromC, toC, minutes) => {
    const took = minutesFromTo(pot({ kg, lossFilm, aspect: 0.8 }, { startC: fromC + 10 }), fromC, toC)
    expect(took / minutes).toBeGreaterThan(0.6)
    expect(took / minutes).toBeLessThan(1.7)
  })

  it('cooling stands still while it freezes, which no single exponential does', () => {
    const body = pot({}, { startC: 100 })
    const above = minutesFromTo(body, 75, 66)
    const within = minutesFromTo(body, 62, 54)
    expect(within).toBeGreaterThan(3 * above)
  })

  it('melts from the metal inwards: the heart is solid while the bottom is hot', () => {
    const body = pot({ kg: 6, powerW: 700, floorShare: 0.8 }, { setC: () => 105 })
    let widest = 0
    for (let tS = 5; tS < 14_400; tS += 5) {
      body.advance(5, tS)
      if (body.waxC(0.6) < 45) widest = Math.max(widest, body.waxC(0.05, true) - body.waxC(0.6))
    }
    expect(widest).toBeGreaterThan(30)
    expect(body.waxC(0.6)).toBeGreaterThan(95)
  })

  it('its skin is degrees below the bulk when still, one or two when stirred, and less under a lid', () => {
    const deficit = (film: number, stir: number, lid: boolean): number => {
      const body = pot(
        { kg: 6, powerW: 700, skinFilm: film },
        { startC: 105, setC: () => 105, stir: () => stir, lid: () => lid },
      )
      run(body, 3_600)
      return body.waxC(0.5) - body.skinC
    }
    expect(deficit(130, 0, false)).toBeGreaterThan(5)
    expect(deficit(130, 1, false)).toBeLessThan(2)
    expect(deficit(900, 0, false)).toBeLessThan(2.5)
    expect(deficit(900, 0, true)).toBeLessThan(deficit(900, 0, false))
  })

  it('a lid is far colder than the wax below it, and the air under it is warmer than over an open pot', () => {
    const open = pot({ kg: 6, powerW: 700 }, { startC: 108, setC: () => 108 })
    const shut = pot({ kg: 6, powerW: 700 }, { startC: 108, setC: () => 108, lid: () => true })
    run(open, 7_200)
    run(shut, 7_200)
    expect(shut.waxC(0.5) - shut.lidC).toBeGreaterThan(30)
    expect(shut.lidC).toBeGreaterThan(40)
    expect(shut.airC - open.airC).toBeGreaterThan(20)
    expect(open.waxC(0.5) - open.airC).toBeGreaterThan(40)
  })

  it('bright metal at 105 °C is shown as 33 to 53 °C', () => {
    const body = pot({ kg: 6 }, { startC: 105 })
    body.sideC = 105
    body.ambientC = 21
    const metal = (rimEmissivity: number): number =>
      infraredC(body, {
        setEmissivity: 0.95,
        compensatedC: 23,
        emissivity: 0.95,
        lidEmissivity: 0.9,
        onWax: 0,
        rimShare: 1,
        rimEmissivity,
        clear: 1,
        betweenC: 30,
      })
    expect(metal(0.1)).toBeGreaterThan(30)
    expect(metal(0.1)).toBeLessThan(36)
    expect(metal(0.3)).toBeGreaterThan(50)
    expect(metal(0.3)).toBeLessThan(56)
  })

  it('a small pot heats by some two degrees a minute, and its regulator holds it', () => {
    const body = pot({ kg: 6, powerW: 600, lossFilm: 3 }, { startC: 80, setC: () => 120, lid: () => true })
    run(body, 900)
    const before = body.waxC(0.5)
    run(body, 1_200, 900)
    expect((body.waxC(0.5) - before) / 5).toBeGreaterThan(1.2)
    expect((body.waxC(0.5) - before) / 5).toBeLessThan(2.6)
    run(body, 14_400, 1_200)
    expect(Math.abs(body.waxC(0.4, true) - 120)).toBeLessThan(6)
  })

  it('thick wax lies in layers until it is stirred', () => {
    const body = pot(
      { kg: 6, powerW: 700, vigour: 0.005, floorShare: 0.9 },
      { startC: 75, setC: () => 105, stir: (tS) => (tS > 3_600 ? 1 : 0) },
    )
    run(body, 3_600)
    expect(body.waxC(0.1) - body.waxC(0.85)).toBeGreaterThan(5)
    run(body, 3_780, 3_600)
    expect(Math.abs(body.waxC(0.1) - body.waxC(0.85))).toBeLessThan(1.5)
  })
})

describe('a kiln behaves as one', () => {
  it('type K orders as the published points say, and forgets above 650 °C', () => {
    const wire = new Wire(1)
    const rest = (minutes: number): number => {
      for (let s = 0; s < minutes * 60; s += 10) wire.advance(10, 350)
      return wire.errorC
    }
    expect(rest(5)).toBeCloseTo(0.9, 1)
    expect(Math.abs(rest(40) - 1.9)).toBeLessThan(0.15)
    expect(Math.abs(rest(375) - 3.7)).toBeLessThan(0.15)
    for (let s = 0; s < 3_600; s += 10) wire.advance(10, 700)
    wire.advance(10, 350)
    expect(wire.errorC).toBeLessThan(0.4)
  })

  it('a wet mould stands at 100 °C, lags by the hour and is hotter than the air when it cools', () => {
    const f = fires(new Chance(12), { firings: [1, 1], shapes: ['mould'], gas: false })
    const kiln = new Kiln(f.make, { ...f.days, load: () => ({ which: 0, water: 0.1 }) }, new Chance(2))
    let [boils, behind, ahead, hottest] = [0, 0, 0, 0]
    for (let tS = 30; tS <= f.durationS; tS += 30) {
      kiln.advance(30, tS)
      if (Math.abs(kiln.loadC - 100) < 0.5 && kiln.airC > 110) boils += 30
      behind = Math.max(behind, kiln.airC - kiln.loadC)
      if (tS > f.firings[0]!.offS) ahead = Math.max(ahead, kiln.loadC - kiln.airC)
      hottest = Math.max(hottest, kiln.airC)
    }
    expect(boils).toBeGreaterThan(1_200)
    expect(behind).toBeGreaterThan(20)
    expect(ahead).toBeGreaterThan(10)
    expect(hottest).toBeGreaterThan(680)
    expect(hottest).toBeLessThan(800)
  })

  it('a flash kiln crashes when it is loaded and recovers', () => {
    const f = fires(new Chance(5), { firings: [1, 1], shapes: ['flash'], gas: false })
    const kiln = new Kiln(f.make, f.days, new Chance(2))
    let [hot, lowest, late] = [false, 9_999, 0]
    for (let tS = 30; tS < f.firings[0]!.offS; tS += 30) {
      kiln.advance(30, tS)
      if (kiln.airC > 800) hot = true
      if (hot && f.days.door(tS) > 0) lowest = Math.min(lowest, kiln.airC)
      late = Math.max(hot && lowest < 9_999 ? kiln.airC : 0, late)
    }
    expect(lowest).toBeLessThan(500)
    expect(late).toBeGreaterThan(800)
  })
})

describe('a dry room behaves as one', () => {
  // ASHRAE Fundamentals 2017, table 3 and formulas, Pa.
  it.each([
    [5, 872.6],
    [20, 2338.8],
    [25, 3169.7],
    [40, 7383.5],
  ])('air at %d °C holds %d Pa of water', (celsius, pascal) => {
    expect(Math.abs(saturationPa(celsius) / pascal - 1)).toBeLessThan(0.003)
  })

  it('an open door lets the corridor in, and the test piece goes down and comes back', () => {
    const h = hall(new Chance(3), [2, 2])
    const wet = {
      ...h.days,
      outsideC: () => 21,
      outsideHumidity: 75,
      door: (tS: number) => tS > 40_000 && tS < 43_600,
      people: () => 0,
      damp: (tS: number) => (tS < 20_000 ? 2e-5 : 0),
    }
    const room = new Room({ ...h.make, setC: 22, humidity: 45 }, wet, new Chance(4))
    run(room, 5_000, 0, 10)
    const wettest = room.pieceC
    expect(room.airC - wettest).toBeGreaterThan(3)
    run(room, 40_000, 5_000, 10)
    expect(room.airC - room.pieceC).toBeLessThan(2)
    const before = room.humidityAt(room.airC)
    run(room, 42_000, 40_000, 10)
    expect(room.humidityAt(room.airC) - before).toBeGreaterThan(8)
  })
})

const make: SensorMake = {
  lagS: 10,
  noise: 0.3,
  wander: 0,
  wanderS: 60,
  step: 0.1,
  offset: 0.5,
  gain: 0,
  driftPerMonth: 0,
}

describe('an instrument is what it says', () => {
  it('lags, errs by its offset, and shows only its steps', () => {
    const sensor = new Sensor(make, undefined, new Chance(6))
    sensor.read(20, 0)
    const shown = Array.from({ length: 400 }, (_, i) => sensor.read(80, i + 1))
    expect(shown[9]! - 20).toBeGreaterThan(32)
    expect(shown[9]! - 20).toBeLessThan(44)
    const late = shown.slice(100)
    expect(Math.abs(late.reduce((a, b) => a + b, 0) / late.length - 80.5)).toBeLessThan(0.1)
    for (const value of shown) expect(Math.abs(value * 10 - Math.round(value * 10))).toBeLessThan(1e-6)
  })
})
