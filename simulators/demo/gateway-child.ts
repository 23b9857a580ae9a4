/** The gateway as a child process, its clock led from here. */
import { type ChildProcess, fork } from 'node:child_process'
import { openSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import type { EpochMs } from '../../shared/time.ts'

/** Why the gateway could not begin, in its own sentence. */
export class Refused extends Error {
  readonly exitCode: number
  constructor(sentence: string, exitCode: number) {
    super(sentence)
    this.exitCode = exitCode
  }
}

/** A gateway that listens. */
export interface LedGateway {
  http: string
  mqtt: string
  /** Leads the gateway's clock to `at`; resolves when everything due by then has been done. It then runs on at `pace`. */
  lead(at: EpochMs, pace: number): Promise<void>
}

export interface GatewayChild {
  /** Resolves when it listens; rejects with a `Refused` when it ends instead. */
  ready: Promise<LedGateway>
  /** Resolves when it has ended, with its exit code. */
  ended: Promise<number>
  /** Asks it to end; `hard` does not ask. */
  stop(hard: boolean): void
}

/** A refusal comes on the log as well, and there it survives the exit of the one who wrote it. */
type Said = { ready: { http: string; mqtt: string } } | { refused: string } | { at: EpochMs }

/** Its exit code for settings or a folder that it cannot use (INTERFACE). */
const exitConfig = 78

const program = fileURLToPath(new URL('../../gateway/main.js', import.meta.url))

function address(said: string, scheme: string): string {
  return said.includes('://') ? said : `${scheme}://${said}`
}

/** The sentence a gateway leaves when it cannot start: the last line of its log that is no log entry. */
function lastWords(logFile: string): string | null {
  const lines = readFileSync(logFile, 'utf8').split('\n')
  return lines.findLast((line) => line !== '' && !line.startsWith('{')) ?? null
}

/** Starts it with its clock at `beginAt`. Everything it prints goes to `logFile`. */
export function startGateway(args: readonly string[], logFile: string, beginAt: EpochMs): GatewayChild {
  const log = openSync(logFile, 'a')
  const child: ChildProcess = fork(program, args, {
    stdio: ['ignore', log, log, 'ipc'],
    env: { ...process.env, CIREWATCH_CLOCK: 'led' },
    // Ctrl-C reaches a group of its own only through us, so that the instruments can say goodbye first.
    detached: true,
  })
  const ended = new Promise<number>((resolve) => child.once('exit', (code) => resolve(code ?? 1)))
  let arriving: { at: EpochMs; resolve: () => void; reject: (cause: Error) => void } | null = null

  const lead = (at: EpochMs, pace: number): Promise<void> =>
    new Promise((resolve, reject) => {
      arriving = { at, resolve, reject }
      child.send({ lead: { at, pace } }, (error) => error && reject(error))
    })
  // Said before it has opened anything, so that its very first entry is dated in the story.
  child.send({ lead: { at: beginAt, pace: 0 } })

  const ready = new Promise<LedGateway>((resolve, reject) => {
    void ended.then((code) => {
      const cause = new Refused(
        (code === exitConfig && lastWords(logFile)) || `The gateway ended by itself with exit code ${code}.`,
        code,
      )
      reject(cause)
      arriving?.reject(cause)
    })
    child.on('message', (message: unknown) => {
      const said = message as Said
      if ('at' in said) {
        if (said.at === arriving?.at) arriving.resolve()
      } else if ('ready' in said) {
        const { http, mqtt } = said.ready
        resolve({ http: address(http, 'http'), mqtt: address(mqtt, 'mqtt'), lead })
      }
    })
  })
  return { ready, ended, stop: (hard) => void child.kill(hard ? 'SIGKILL' : 'SIGTERM') }
}
