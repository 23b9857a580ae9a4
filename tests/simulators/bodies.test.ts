/** The bodies behind the demo: heat and water are neither made nor lost, and the trade's own numbers come out. */
import { describe, expect, it } from 'vitest'
import {
  type DryingRoomControls,
  type DryingRoomState,
  reset,
  roomAt,
  roomFor,
  stepDryingRoom,
  storedHeatJ,
} from '../../simulators/bodies/drying-room.ts'
import { type KilnState, kilnAt, kilnStoredJ, mouldKiln, stepKiln } from '../../simulators/bodies/kiln.ts'
import { programmeOff, startProgramme, stepProgramme } from '../../simulators/bodies/programme.ts'
import { stepTestPiece, surrounding } from '../../simulators/bodies/test-piece.ts'
import { figureWax, heatCurve } from '../../simulators/bodies/wax.ts'
import {
  bottomC,
  middleC,
  potAt,
  potFor,
  stepWaxPot,
  storedJ,
  topC,
  type WaxPot,
  type WaxPotControls,
  type WaxPotState,
} from '../../simulators/bodies/wax-pot.ts'

const off: WaxPotControls = {
  on: false,
  setPointC: 112,
  lidOn: false,
  stirred: true,
  ambientC: 21,
  mains: true,
  welded: false,
}

function potAfter(pot: WaxPot, from: WaxPotState, seconds: number, dtS: number, controls: WaxPotControls): WaxPotState {
  let state = from
  for (let t = 0; t < seconds - 1e-9; t += dtS) state = stepWaxPot(pot, state, controls, dtS)
  return state
}
function minutesBetween(pot: WaxPot, fromC: number, toC: number): number {
  let state = potAt(pot, fromC)
  let seconds = 0
  while (middleC(pot, state) > toC) {
    state = stepWaxPot(pot, state, off, 5)
    seconds += 5
  }
  return seconds / 60
}

describe('a wax pot', () => {
  it.each([
    [1.5, 250, 105, 95, 0.6, 0.9],
    [6, 600, 105, 95, 0.3, 0.4],
    [40, 3_000, 85, 74, 0.1, 0.15],
  ])('of %d kg cools with the lid off as fast as the trade reckons', (kg, watts, fromC, toC, min, max) => {
    const perMinute = (fromC - toC) / minutesBetween(potFor(kg, watts), fromC, toC)
    expect(perMinute).toBeGreaterThanOrEqual(min)
    expect(perMinute).toBeLessThanOrEqual(max)
  })

  it('of 6 kg gains about 2 °C a minute from 600 W near 100 °C', () => {
    const pot = potFor(6, 600)
    const hot = potAfter(pot, potAt(pot, 92), 300, 5, { ...off, on: true, lidOn: true, setPointC: 200 })
    const later = potAfter(pot, hot, 120, 5, { ...off, on: true, lidOn: true, setPointC: 200 })
    expect((middleC(pot, later) - middleC(pot, hot)) / 2).toBeGreaterThan(1.6)
    expect((middleC(pot, later) - middleC(pot, hot)) / 2).toBeLessThan(2.4)
  })

  it('stands still in temperature while its wax melts, and is hotter below than above', () => {
    const pot = potFor(6, 600)
    const controls = { ...off, on: true, lidOn: true, stirred: false, ambientC: 20 }
    const melting = potAfter(pot, potAt(pot, 20), 30 * 60, 5, controls)
    const later = potAfter(pot, melting, 10 * 60, 5, controls)
    expect(middleC(pot, later) - middleC(pot, melting)).toBeLessThan(6)
    expect(bottomC(pot, melting)).toBeGreaterThan(topC(pot, melting) + 3)
  })

  it('neither makes nor loses heat: supplied = stored + lost to 1e-9 of what passed through', () => {
    const pot = potFor(12, 1_200)
    const from = potAt(pot, 20)
    const to = potAfter(pot, from, 4 * 3_600, 5, { ...off, on: true, stirred: false })
    const open = to.suppliedJ - to.lostJ - (storedJ(pot, to) - storedJ(pot, from))
    expect(to.suppliedJ).toBeGreaterThan(1e6)
    expect(Math.abs(open) / to.suppliedJ).toBeLessThan(1e-9)
  })

  it('settles where the loss equals a welded heater: closed form to 0.01 °C', () => {
    const pot = potFor(1, 40)
    const controls = { ...off, stirred: true, welded: true }
    const state = potAfter(pot, potAt(pot, 21), 60 * 3_600, 5, controls)
    const { lidOffWPerK, heaterW } = pot.spec
    const meanRiseC = 0.65 * (topC(pot, state) - 21) + 0.35 * (bottomC(pot, state) - 21)
    expect(meanRiseC).toBeCloseTo(heaterW / lidOffWPerK, 2)
  })

  it('changes by less than 0.02 °C in two hours when the step is halved', () => {
    const pot = potFor(6, 600)
    const controls = { ...off, welded: true, stirred: false, lidOn: true }
    const coarse = potAfter(pot, potAt(pot, 20), 7_200, 5, controls)
    const fine = potAfter(pot, potAt(pot, 20), 7_200, 2.5, controls)
    expect(Math.abs(middleC(pot, coarse) - middleC(pot, fine))).toBeLessThan(0.02)
  })

  it('holds near its set-point with its own overshoot, and does not when the relay has welded', () => {
    const pot = potFor(6, 600)
    const held = potAfter(pot, potAt(pot, 100), 3_600, 5, { ...off, on: true })
    expect(Math.abs(middleC(pot, held) - 112)).toBeLessThan(4)
    const welded = potAfter(pot, potAt(pot, 100), 3_600, 5, { ...off, on: true, welded: true })
    expect(middleC(pot, welded)).toBeGreaterThan(150)
    const isolated = potAfter(pot, welded, 1_800, 5, { ...off, on: true, welded: true, mains: false })
    expect(middleC(pot, isolated)).toBeLessThan(middleC(pot, welded))
  })

  it('holds as much heat as its curve says, there and back', () => {
    const curve = heatCurve(figureWax, 3, 700)
    for (const t of [5, 56.9, 57, 61, 66, 66.1, 140]) expect(curve.temperatureC(curve.energyJ(t))).toBeCloseTo(t, 9)
  })
})

const roomControls: DryingRoomControls = {
  setC: 22,
  setHumidity: 45,
  mains: true,
  fansOn: true,
  doorOpen: false,
  corridorC: 21,
  corridorRatio: 0.0112,
  outsideC: 20,
  evaporationKgPerS: 1e-5,
}
const room = roomFor(60, { coolingRestarts: false, dehumidifierRestarts: false })
function roomAfter(from: DryingRoomState, seconds: number, dtS: number, controls: DryingRoomControls): DryingRoomState {
  let state = from
  for (let t = 0; t < seconds - 1e-9; t += dtS) state = stepDryingRoom(room, state, controls, dtS)
  return state
}

describe('a drying room', () => {
  it('neither makes nor loses heat or water to 1e-9 of what passed through', () => {
    const from = roomAt(22, 0.0074)
    const to = roomAfter(from, 6 * 3_600, 5, roomControls)
    const heat = to.heatInJ - to.heatOutJ - (storedHeatJ(room, to) - storedHeatJ(room, from))
    const water = to.waterInKg - to.waterOutKg - room.airKg * (to.ratio - from.ratio)
    expect(Math.abs(heat) / to.heatInJ).toBeLessThan(1e-9)
    expect(Math.abs(water) / to.waterInKg).toBeLessThan(1e-9)
  })

  it('without machines comes to rest where envelope and leak say: closed form to 0.001', () => {
    const dead = { ...roomControls, mains: false }
    const state = roomAfter(roomAt(22, 0.0104), 20 * 24 * 3_600, 30, dead)
    const leakWPerK = room.leakKgPerS * 1_006
    const restC = (room.envelopeWPerK * 20 + leakWPerK * 21 - 1e-5 * 2_453_000) / (room.envelopeWPerK + leakWPerK)
    expect(state.airC).toBeCloseTo(restC, 3)
    expect(state.ratio).toBeCloseTo(0.0112 + 1e-5 / room.leakKgPerS, 6)
  })

  it('changes by less than 0.001 °C in half an hour when the step is halved', () => {
    const dead = { ...roomControls, mains: false }
    const coarse = roomAfter(roomAt(24, 0.0074), 1_800, 5, dead)
    const fine = roomAfter(roomAt(24, 0.0074), 1_800, 2.5, dead)
    expect(Math.abs(coarse.airC - fine.airC)).toBeLessThan(1e-3)
    expect(Math.abs(coarse.ratio - fine.ratio)).toBeLessThan(1e-7)
  })

  it('lets corridor water in by an open door while its temperature hardly moves', () => {
    const before = roomAfter(roomAt(22, 0.0074), 3_600, 5, roomControls)
    const after = roomAfter(before, 1_800, 5, { ...roomControls, doorOpen: true })
    expect(after.ratio - before.ratio).toBeGreaterThan(0.001)
    expect(Math.abs(after.airC - before.airC)).toBeLessThan(1)
  })

  it('keeps its machines tripped after a power cut until a person presses reset', () => {
    const cut = roomAfter(roomAt(23, 0.009), 60, 5, { ...roomControls, mains: false })
    const back = roomAfter(cut, 600, 5, roomControls)
    expect([back.cooling, back.drying]).toEqual([0, 0])
    const pressed = roomAfter(reset(reset(back, 'cooling'), 'dehumidifier'), 5, 5, roomControls)
    expect([pressed.cooling, pressed.drying]).toEqual([1, 1])
  })
})

describe('a kiln', () => {
  const heated = (from: KilnState, seconds: number, dtS: number, duty: number) => {
    let state = from
    for (let t = 0; t < seconds - 1e-9; t += dtS)
      state = stepKiln(mouldKiln, state, { duty, mains: true, doorOpen: false, yardC: 12 }, dtS)
    return state
  }

  it('neither makes nor loses heat to 1e-9 of what passed through', () => {
    const from = kilnAt(20)
    const to = heated(from, 8 * 3_600, 5, 0.6)
    const open = to.suppliedJ - to.lostJ - (kilnStoredJ(mouldKiln, to) - kilnStoredJ(mouldKiln, from))
    expect(Math.abs(open) / to.suppliedJ).toBeLessThan(1e-9)
  })

  it('comes to rest where its wall loses what the elements give: closed form to 0.01 °C', () => {
    const rest = heated(kilnAt(400), 60 * 24 * 3_600, 60, 0.1)
    const wallC = 12 + (0.1 * mouldKiln.powerW) / mouldKiln.wallToYardWPerK
    expect(rest.wallC).toBeCloseTo(wallC, 2)
    expect(rest.airC).toBeCloseTo(wallC + (0.1 * mouldKiln.powerW) / mouldKiln.airToWallWPerK, 2)
    expect(rest.loadC).toBeCloseTo(rest.airC, 2)
  })

  it('changes by less than 0.001 °C in an hour when the step is halved', () => {
    expect(Math.abs(heated(kilnAt(20), 3_600, 5, 0.5).airC - heated(kilnAt(20), 3_600, 2.5, 0.5).airC)).toBeLessThan(
      1e-3,
    )
  })

  it('follows its programme, keeps its place through a power cut, and gives no heat meanwhile', () => {
    const programme = {
      legs: [
        { kind: 'ramp', toC: 150, cPerHour: 100 },
        { kind: 'hold', minutes: 30 },
      ] as const,
      waitBeyondC: 12,
      dutyPerC: 0.05,
      integralS: 900,
    }
    let state = kilnAt(20)
    let controller = startProgramme(20)
    let worstC = 0
    for (let t = 0; t < 3 * 3_600; t += 5) {
      const mains = t < 3_000 || t >= 3_600
      const before = controller
      controller = stepProgramme(programme, controller, state.airC, mains, 5)
      if (!mains) expect(controller.setC).toBe(before.setC)
      state = stepKiln(mouldKiln, state, { duty: controller.duty, mains, doorOpen: false, yardC: 12 }, 5)
      if (t > 600 && t < 3_000) worstC = Math.max(worstC, Math.abs(state.airC - controller.setC))
    }
    expect(worstC).toBeLessThan(8)
    expect(controller.leg).toBe(2)
    expect(stepProgramme(programme, programmeOff, 20, true, 5).duty).toBe(0)
  })
})

describe('a test piece', () => {
  it('falls toward the wet bulb while it is wet and comes back to the air when it is dry', () => {
    const spec = { lagS: 2_400, depressionShare: 0.76, dryHours: 6, waterKg: 0.1 }
    const air = surrounding(22, 45, 101_325)
    let state = { waxC: 22, wet: 1 }
    for (let t = 0; t < 3 * 3_600; t += 5) state = stepTestPiece(spec, state, air, 5)
    expect(Math.abs(state.waxC - (22 - 0.76 * (22 - air.wetBulbC)))).toBeLessThan(0.1)
    for (let t = 0; t < 30 * 3_600; t += 5) state = stepTestPiece(spec, state, air, 5)
    expect(state.waxC).toBeGreaterThan(21.8)
  })
})
