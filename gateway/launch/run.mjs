/** Runs another program to its end, quietly or in full view, and passes on the signals that ask us to stop. */
import { spawn } from 'node:child_process'
import { root } from './place.mjs'

const signals = /** @type {const} */ (['SIGINT', 'SIGTERM', 'SIGHUP'])

/**
 * @typedef {{ code: number, output: string, result: string, missing: boolean }} Outcome
 * code: its exit code, or 128 + n when signal n ended it; output: everything it said when run quietly;
 * result: what of that came on stdout; missing: there is no such program
 */

/**
 * @param {string} program
 * @param {readonly string[]} args
 * @param {{ quiet?: boolean, folder?: string }} [options]
 * @returns {Promise<Outcome>}
 */
export function run(program, args, options = {}) {
  return new Promise((resolve) => {
    const child = spawn(program, args, {
      cwd: options.folder ?? root,
      stdio: options.quiet ? ['ignore', 'pipe', 'pipe'] : 'inherit',
    })
    let output = ''
    let result = ''
    child.stdout?.setEncoding('utf8').on('data', (text) => {
      output += text
      result += text
    })
    child.stderr?.setEncoding('utf8').on('data', (text) => (output += text))
    const passOn = signals.map((signal) => {
      const listener = () => child.kill(signal)
      process.on(signal, listener)
      return () => process.off(signal, listener)
    })
    let missing = false
    child.on('error', (error) => {
      missing = 'code' in error && error.code === 'ENOENT'
      output += `${error.message}\n`
    })
    child.on('close', (code, signal) => {
      for (const off of passOn) off()
      resolve({ code: code === null || code < 0 ? codeOfSignal(signal) : code, output, result, missing })
    })
  })
}

/** @param {string | null} signal */
function codeOfSignal(signal) {
  const numbers = { SIGHUP: 1, SIGINT: 2, SIGKILL: 9, SIGTERM: 15 }
  return signal !== null && signal in numbers ? 128 + numbers[/** @type {keyof typeof numbers} */ (signal)] : 1
}

/**
 * npm itself, the same one that started us if it did.
 * @param {readonly string[]} args
 * @param {{ quiet?: boolean }} [options]
 */
export function npm(args, options) {
  const script = process.env.npm_execpath
  if (script?.endsWith('js')) return run(process.execPath, [script, ...args], options)
  return run(process.platform === 'win32' ? 'npm.cmd' : 'npm', args, options)
}

/** Whether the person, rather than a fault, ended it. @param {number} code */
export const wasStopped = (code) => code === 129 || code === 130 || code === 143
