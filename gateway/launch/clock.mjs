/** The only place of the launcher that knows the time of day or waits for it. */

/** @returns {number} milliseconds since 1970, by this machine's clock, which may be wrong */
export const now = () => Date.now()

/** @param {number} ms */
export const wait = (ms) => new Promise((resolve) => setTimeout(resolve, ms))

/**
 * Calls `run` again and again until the returned function is called; never keeps the process alive by itself.
 * @param {number} ms
 * @param {() => void} run
 */
export function every(ms, run) {
  const timer = setInterval(run, ms)
  timer.unref()
  return () => clearInterval(timer)
}
