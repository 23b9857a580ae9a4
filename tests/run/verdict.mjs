/** Adds up what passed, failed and was left out, and says it in the one line that scripts read. Pure. */

/** @typedef {{ passed: number, failed: number, skipped: number }} Verdict */

/** @type {Verdict} */
export const nothing = { passed: 0, failed: 0, skipped: 0 }

/** @param {Verdict} a @param {Verdict} b @returns {Verdict} */
export const add = (a, b) => ({
  passed: a.passed + b.passed,
  failed: a.failed + b.failed,
  skipped: a.skipped + b.skipped,
})

/** @param {Verdict} verdict */
export function lastLine({ passed, failed, skipped }) {
  return `${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ''}`
}

/**
 * What vitest's JSON report amounts to. A file that could not even be loaded, an error outside of any test, a missing report
 * and a run without a single test are failures: silence never counts as success.
 * @param {string | null} report
 * @param {number} exitCode
 * @returns {Verdict}
 */
export function verdictOf(report, exitCode) {
  const files = filesOf(report)
  const verdict = files.map(ofFile).reduce(add, nothing)
  const unexplained = verdict.failed === 0 && (exitCode !== 0 || verdict.passed === 0)
  return unexplained ? { ...verdict, failed: 1 } : verdict
}

/** @param {any} file @returns {Verdict} */
function ofFile(file) {
  const count = (/** @type {string[]} */ ...states) =>
    file.assertionResults.filter((/** @type {any} */ a) => states.includes(a.status)).length
  const failed = count('failed')
  return {
    passed: count('passed'),
    failed: failed === 0 && file.status === 'failed' ? 1 : failed,
    skipped: count('skipped', 'pending', 'todo', 'disabled'),
  }
}

/** @param {string | null} report */
function filesOf(report) {
  try {
    return report === null ? [] : JSON.parse(report).testResults
  } catch {
    return []
  }
}
