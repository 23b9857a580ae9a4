/** The programme controller of a kiln: ramps and holds with a set-point that waits for the kiln, and a PI law on the power. */

export type Leg = { kind: 'ramp'; toC: number; cPerHour: number } | { kind: 'hold'; minutes: number }

export interface Programme {
  legs: readonly Leg[]
  /** The clock of a ramp or a hold stands while the air is further than this from the set-point. */
  waitBeyondC: number
  /** Share of full power for each degree of error, and how long the integral takes to give the same again. */
  dutyPerC: number
  integralS: number
}

/** Where the controller is. Survives a power cut, as the set-point of such controllers does (common practice, no source). */
export interface ProgrammeState {
  /** Equal to the number of legs when the programme is through; −1 while it is off. */
  leg: number
  setC: number
  heldS: number
  /** Integral part of the duty. */
  integral: number
  duty: number
}

export const programmeOff: ProgrammeState = { leg: -1, setC: 0, heldS: 0, integral: 0, duty: 0 }

export function startProgramme(airC: number): ProgrammeState {
  return { leg: 0, setC: airC, heldS: 0, integral: 0, duty: 0 }
}

/** The controller `dtS` seconds later, seeing `airC`. Without mains nothing moves. */
export function stepProgramme(
  programme: Programme,
  state: ProgrammeState,
  airC: number,
  mains: boolean,
  dtS: number,
): ProgrammeState {
  const leg = programme.legs[state.leg]
  if (!mains) return { ...state, duty: 0 }
  if (leg === undefined) return { ...state, duty: 0, integral: 0 }
  const moved = Math.abs(airC - state.setC) <= programme.waitBeyondC ? advance(leg, state, dtS) : state
  const error = moved.setC - airC
  const wanted = programme.dutyPerC * error + state.integral
  const duty = Math.min(1, Math.max(-1, wanted))
  // Held back at the stops, so that a kiln at full power does not store up an overshoot.
  const integral =
    duty === wanted ? state.integral + (programme.dutyPerC * error * dtS) / programme.integralS : state.integral
  return { ...moved, duty, integral }
}

function advance(leg: Leg, state: ProgrammeState, dtS: number): ProgrammeState {
  if (leg.kind === 'hold') {
    const heldS = state.heldS + dtS
    return heldS >= leg.minutes * 60 ? { ...state, leg: state.leg + 1, heldS: 0 } : { ...state, heldS }
  }
  const step = (leg.cPerHour * dtS) / 3_600
  const left = leg.toC - state.setC
  if (Math.abs(left) <= step) return { ...state, setC: leg.toC, leg: state.leg + 1, heldS: 0 }
  return { ...state, setC: state.setC + Math.sign(left) * step }
}
