/** The gateway as a child process, its clock led from here. */
import { type ChildProcess, fork } from 'node:child_process'
import { openSync } from 'node:fs'
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

export interface GatewayChild {
  http: string
  mqtt: string
  /** Leads the gateway's clock to `at`; resolves when everything due by then has been done. It then runs on at `pace`. */
  lead(at: EpochMs, pace: number): Promise<void>
  /** Resolves when it has ended, with its exit code. */
  ended: Promise<number>
  stop(): void
}

type Said =
  | { ready: { http: string; mqtt: string } }
  | { refused: string }
  | { at: EpochMs }

const program = fileURLToPath(new URL('../../gateway/main.js', import.meta.url))

function address(said: string, scheme: string): string {
  return said.includes('://') ? said : `${scheme}://${said}`
}

/** Starts it and waits until it listens. Everything it prints goes to `logFile`. */
export function startGateway(args: readonly string[], logFile: string): Promise<GatewayChild> {
  const log = openSync(logFile, 'a')
  const child: ChildProcess = fork(program, args, {
    stdio: ['ignore', log, log, 'ipc'],
    env: { ...process.env, CIREWATCH_CLOCK: 'led' },
    // Ctrl-C reaches a group of its own only through us, so that the instruments can say goodbye first.
    detached: true,
  })
  const ended = new Promise<number>((resolve) => child.once('exit', (code) => resolve(code ?? 1)))
  let arrived: { resolve: () => void; reject: (cause: Error) => void } | null = null

  const lead = (at: EpochMs, pace: number): Promise<void> =>
    new Promise((resolve, reject) => {
      arrived = { resolve, reject }
      child.send({ lead: { at, pace } }, (error) => error && reject(error))
    })

  return new Promise((resolve, reject) => {
    void ended.then((code) => {
      const cause = new Refused(`The gateway ended by itself (exit code ${code}); its log is ${logFile}.`, code)
      reject(cause)
      arrived?.reject(cause)
    })
    child.on('message', (message: unknown) => {
      const said = message as Said
      if ('at' in said) arrived?.resolve()
      else if ('refused' in said) void ended.then((code) => reject(new Refused(said.refused, code)))
      else if ('ready' in said) {
        const { http, mqtt } = said.ready
        resolve({ http: address(http, 'http'), mqtt: address(mqtt, 'mqtt'), lead, ended, stop: () => void child.kill('SIGTERM') })
      }
    })
  })
}
