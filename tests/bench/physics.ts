/** How quickly raw signals become temperatures: each function beside a reference that does the same work, and what one thermocouple reading costs. */
/// <reference path="../physics/psychrolib.d.ts" />
import psychrolib from 'psychrolib'
import { calibrated } from '../../shared/physics/calibration.ts'
import { dewPointC, enthalpyKjPerKg, humidityRatio, vapourDeficitPa, wetBulbC } from '../../shared/physics/humidity.ts'
import { correctInfraredC, type InfraredScene, infraredUncertaintyC } from '../../shared/physics/infrared.ts'
import { thermocoupleTypes } from '../../shared/physics/its90.ts'
import { emfVerdict } from '../../shared/physics/junction.ts'
import { bandRadiance } from '../../shared/physics/radiance.ts'
import { saturationPressurePa } from '../../shared/physics/saturation.ts'
import { emfMv, hotJunctionC } from '../../shared/physics/thermocouple.ts'
import { chance } from '../../simulators/random.ts'
import { tellMachine } from './kit/charting.ts'
import { verdict } from './kit/percentiles.ts'
import { correctedByStripsC, hotByHalvingC, hotByPolynomialC, radianceByStrips } from './kit/published.ts'
import { race } from './kit/race.ts'

const seed = 4
const states = 4_096
const readingUsMax = 1
const infraredUsMax = 2
const random = chance(seed)

/** Two columns of numbers evenly spread: the same for both sides. */
function columns(a: readonly [number, number], b: readonly [number, number]): [Float64Array, Float64Array] {
  const spread = ([from, to]: readonly [number, number]) =>
    Float64Array.from({ length: states }, () => from + (to - from) * random.next())
  return [spread(a), spread(b)]
}

interface Pairing {
  title: string
  reference: string
  columns: [Float64Array, Float64Array]
  ours: (a: number, b: number) => number | string | null
  theirs: (a: number, b: number) => number
  /** Conversions in each round; the reference may be slow. */
  count?: number
  theirCount?: number
}

/** Every state has an answer; and the answers are summed and looked at, so that no engine may leave the work out. */
function lane(name: string, [a, b]: Pairing['columns'], count: number, convert: Pairing['ours']) {
  const answered = a.every((x, i) => Number.isFinite(convert(x, b[i] as number)))
  if (!answered) throw new Error(`${name}: not every state has an answer.`)
  return {
    name,
    run() {
      let sum = 0
      for (let i = 0; i < count; i++)
        sum += convert(a[i & (states - 1)] as number, b[i & (states - 1)] as number) as number
      if (!Number.isFinite(sum)) throw new Error(`${name}: the answers do not add up.`)
      return count
    },
  }
}

async function pair({ title, reference, columns: [a, b], ours, theirs, count = 400_000, theirCount = count }: Pairing) {
  const apart = a.reduce((worst, x, i) => {
    const y = b[i] as number
    return Math.max(worst, Math.abs((ours(x, y) as number) - theirs(x, y)))
  }, 0)
  const result = await race({
    title,
    things: 'conversions',
    ours: lane('ours', [a, b], count, ours),
    reference: lane(reference, [a, b], theirCount, theirs),
  })
  console.log(`  both on ${states} states, at most ${apart.toExponential(1)} apart`)
  return result.ours.microsecondsEach
}

console.log(`\nphysics: raw signals to temperatures, ${states} invented states each, seed ${seed}`)
tellMachine()

// Thermocouples: a kiln's type K with its cold end in the room.
const kiln = columns([0, 49_000], [15, 45])
await pair({
  title: 'Type K, hot junction from microvolts and cold end',
  reference: 'halving the direct function to 1e-6 °C',
  columns: kiln,
  ours: (uv, cold) => hotJunctionC('K', uv, cold),
  theirs: hotByHalvingC,
  theirCount: 40_000,
})
await pair({
  title: 'The same beside the published inverse polynomial, which is up to 0.06 °C off',
  reference: 'inverse polynomial',
  columns: kiln,
  ours: (uv, cold) => hotJunctionC('K', uv, cold),
  theirs: hotByPolynomialC,
})

// Infrared: a wax pot with an instrument that is set for another surface.
const wax: InfraredScene & { compensatedC: number } = {
  setEmissivity: 0.95,
  compensatedC: 23,
  emissivity: 0.92,
  reflectedC: 26,
}
const pots = columns([40, 180], [0.85, 0.99])
await pair({
  title: 'Radiance from 8 to 14 µm',
  reference: "Planck's law in 24 strips",
  columns: columns([-40, 1_200], [0, 1]),
  ours: (t) => bandRadiance(t),
  theirs: (t) => radianceByStrips(t),
  theirCount: 40_000,
})
const infraredUs = await pair({
  title: 'Infrared, true temperature from the indicated',
  reference: 'strips, and halving to 1e-6 °C',
  columns: pots,
  ours: (shown, emissivity) => correctInfraredC({ ...wax, emissivity }, shown),
  theirs: (shown, emissivity) => correctedByStripsC({ ...wax, emissivity }, shown),
  theirCount: 2_000,
})
const doubts = { emissivityU: 0.02, reflectedUC: 3, indicatedUC: 1 }
const step = { shown: 0.01, emissivity: 1e-4, reflected: 0.01 }
const strips = (shown: number, emissivity: number, reflectedC = wax.reflectedC) =>
  correctedByStripsC({ ...wax, emissivity, reflectedC }, shown)
await pair({
  title: 'Infrared, standard uncertainty',
  reference: 'the same, by differences of the strips',
  columns: pots,
  ours: (shown, emissivity) => infraredUncertaintyC({ ...wax, emissivity }, shown, doubts),
  theirs: (shown, emissivity) => {
    const here = strips(shown, emissivity)
    return Math.hypot(
      ((strips(shown, emissivity + step.emissivity) - here) / step.emissivity) * doubts.emissivityU,
      ((strips(shown, emissivity, wax.reflectedC + step.reflected) - here) / step.reflected) * doubts.reflectedUC,
      ((strips(shown + step.shown, emissivity) - here) / step.shown) * doubts.indicatedUC,
    )
  },
  theirCount: 500,
})

// Moist air, against a library of the same relations.
psychrolib.SetUnitSystem(psychrolib.SI)
const [pressurePa, reference] = [101_325, 'psychrolib']
const rooms = columns([12, 35], [15, 95])
const ratioOf = (t: number, rh: number) => psychrolib.GetHumRatioFromRelHum(t, rh / 100, pressurePa)
const air: [string, Pairing['ours'], Pairing['theirs']][] = [
  ['Saturation pressure', (t) => saturationPressurePa(t), (t) => psychrolib.GetSatVapPres(t)],
  ['Humidity ratio', (t, rh) => humidityRatio(t, rh, pressurePa), ratioOf],
  ['Dew point', dewPointC, (t, rh) => psychrolib.GetTDewPointFromRelHum(t, rh / 100)],
  [
    'Wet bulb',
    (t, rh) => wetBulbC(t, rh, pressurePa),
    (t, rh) => psychrolib.GetTWetBulbFromRelHum(t, rh / 100, pressurePa),
  ],
  [
    'Vapour pressure deficit',
    vapourDeficitPa,
    (t, rh) => psychrolib.GetVaporPressureDeficit(t, ratioOf(t, rh), pressurePa),
  ],
  [
    'Enthalpy',
    (t, rh) => enthalpyKjPerKg(t, rh, pressurePa),
    (t, rh) => psychrolib.GetMoistAirEnthalpy(t, ratioOf(t, rh)) / 1_000,
  ],
]
for (const [title, ours, theirs] of air)
  await pair({ title: `${title} of moist air`, reference, columns: rooms, ours, theirs, count: 200_000 })

// What a reading costs on its way in: is the voltage true, what does it mean, what does the last calibration make of it.
const points = [0, 100, 800].map((readsC) => ({ readsC, isC: readsC * 1.002 + 0.3, uC: 0.5 }))
console.log('\nOne thermocouple reading, in µs: from microvolts to °C / with its verdict and the last calibration')
let worst = 0
for (const type of thermocoupleTypes) {
  const toC = { K: 1_350, J: 1_180, N: 1_280, T: 390, E: 980, R: 1_700, S: 1_700, B: 1_800 }[type]
  const hot = columns([60, toC], [15, 45])
  for (let i = 0; i < states; i++)
    hot[0][i] =
      ((emfMv(type, hot[0][i] as number) ?? Number.NaN) - (emfMv(type, hot[1][i] as number) ?? Number.NaN)) * 1_000
  const bare = costUs(hot, (uv, cold) => hotJunctionC(type, uv, cold))
  const whole = costUs(hot, (uv, cold) =>
    emfVerdict(type, uv, cold) === 'ok'
      ? (calibrated(points, hotJunctionC(type, uv, cold) as number)?.isC ?? Number.NaN)
      : Number.NaN,
  )
  worst = Math.max(worst, bare)
  console.log(`  type ${type}  ${bare.toFixed(3)} / ${whole.toFixed(3)}`)
}
console.log(`  ${verdict(worst, readingUsMax, 'µs for a thermocouple reading, the slowest type')}`)
console.log(`  ${verdict(infraredUs, infraredUsMax, 'µs for an infrared correction')}`)

/** Median of seven rounds, after one that is not counted. */
function costUs(work: Pairing['columns'], convert: Pairing['ours']): number {
  const count = 400_000
  const { run } = lane('a reading', work, count, convert)
  run()
  const rounds = Array.from({ length: 7 }, () => {
    const begun = process.hrtime.bigint()
    run()
    return Number(process.hrtime.bigint() - begun) / 1_000 / count
  })
  return rounds.sort((a, b) => a - b)[3] as number
}
