/** What is appended while a sealer is being killed: any batch can be made again from its number, by the child that appends and by the test that checks. */

/** An invented midnight. */
const begin = 1_750_032_000_000
const minuteMs = 60_000
export const batchMs = 20 * minuteMs
export const names = ['w1.temperature', 'w2.temperature', 'room.humidity']
/** Late readings of one batch, and how far back they lie. */
const lateReadings = 9
const lateMinutes = 8 * 60

/** The site's time when batch number `n` arrives. @param {number} n */
export const nowOf = (n) => begin + (n + 1) * batchMs

/** What was measured at an instant, so that each reading can be checked from its key alone. @param {number} t */
export const valueAt = (t) => (t % 9_973) / 10

/** A number from 0 to `below` − 1 that only depends on the seed and the place. @param {number} seed @param {number} place @param {number} below */
function drawn(seed, place, below) {
  let mixed = Math.imul(seed ^ Math.imul(place + 1, 0x9e_37_79_b1), 0x85_eb_ca_6b)
  mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2_b2_ae_35)
  return ((mixed ^ (mixed >>> 16)) >>> 0) % below
}

/** Late readings: each on a minute of its own of the past, and on a millisecond that only this batch uses. @param {number} seed @param {number} n */
function lateOf(seed, n) {
  /** @type {Map<string, { series: string, t: number }>} */
  const late = new Map()
  for (let i = 0; i < lateReadings; i++) {
    const place = n * lateReadings + i
    const series = /** @type {string} */ (names[drawn(seed, 2 * place, names.length)])
    const t = nowOf(n) - drawn(seed, 2 * place + 1, lateMinutes) * minuteMs - minuteMs + 1 + (n % 59_000)
    late.set(`${series}@${t}`, { series, t })
  }
  return [...late.values()]
}

/**
 * The batch number `n`: a reading a minute of each series, some late ones, and those that were late the last time once more.
 * @param {number} seed
 * @param {number} n
 */
export function batchOf(seed, n) {
  const minutes = Array.from({ length: batchMs / minuteMs }, (_, m) => begin + n * batchMs + m * minuteMs)
  const onTime = minutes.flatMap((t) => names.map((series) => ({ series, t })))
  const again = n > 0 ? lateOf(seed, n - 1) : []
  return [...onTime, ...lateOf(seed, n), ...again].map(({ series, t }) => ({
    kind: /** @type {const} */ ('reading'),
    at: nowOf(n),
    series,
    measuredAt: t,
    value: valueAt(t),
    quality: /** @type {const} */ ('good'),
  }))
}
