/** Carries the state of a body forward in time. States are plain numbers, so that they can be copied, compared and kept. */

/**
 * One step of the classical fourth-order Runge–Kutta method.
 * Sums that are linear in the state (energy stored − in + out) are kept to rounding, whatever the step; the error of the path
 * itself falls with the fourth power of the step while nothing switches within it.
 */
export function rk4<S extends { [K in keyof S]: number }>(state: S, slopes: (state: S) => S, dtS: number): S {
  const k1 = slopes(state)
  const k2 = slopes(along(state, k1, dtS / 2))
  const k3 = slopes(along(state, k2, dtS / 2))
  const k4 = slopes(along(state, k3, dtS))
  const next = { ...state }
  for (const key in state) {
    const mean = ((k1[key] as number) + 2 * (k2[key] as number) + 2 * (k3[key] as number) + (k4[key] as number)) / 6
    next[key] = ((state[key] as number) + mean * dtS) as S[typeof key]
  }
  return next
}

function along<S extends { [K in keyof S]: number }>(state: S, slope: S, dtS: number): S {
  const moved = { ...state }
  for (const key in state) moved[key] = ((state[key] as number) + (slope[key] as number) * dtS) as S[typeof key]
  return moved
}
