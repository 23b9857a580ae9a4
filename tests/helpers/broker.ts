/** A real mosquitto as a process of its own, and its command-line clients: the MQTT world as a foundry would have it. */
import { type ChildProcess, spawn } from 'node:child_process'
import { once } from 'node:events'
import { writeFile } from 'node:fs/promises'
import { connect } from 'node:net'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { freePort } from './free-port.ts'
import { programOf } from './outside.ts'
import { makeFolder } from './temp-folder.ts'

export interface Mosquitto {
  port: number
  url: string
  /** Everything it logged so far. */
  log(): string
  /** SIGTERM is an orderly end; SIGKILL is a power cut. */
  stop(signal?: 'SIGTERM' | 'SIGKILL'): Promise<void>
  /** Starts it again on the same port with what it kept on disk. */
  again(): Promise<void>
  /** Ends it and removes its folder. */
  remove(): Promise<void>
}

/** The settings under which it keeps what a sleeping subscriber has not fetched yet, without a limit. */
const settings = (port: number, folder: string): string => `listener ${port} 127.0.0.1
allow_anonymous true
persistence true
persistence_location ${folder}/
autosave_interval 1
max_queued_messages 0
max_inflight_messages 1000
log_dest stderr
`

export async function startMosquitto(): Promise<Mosquitto> {
  const program = programOf('broker', 'mosquitto')
  const folder = await makeFolder('cirewatch-mosquitto-')
  const port = await freePort()
  const config = join(folder.path, 'mosquitto.conf')
  // Started as root it would become another user, who may not write into our folder.
  const user = process.getuid?.() === 0 ? 'user root\n' : ''
  await writeFile(config, settings(port, folder.path) + user)
  let log = ''
  const launch = async (): Promise<ChildProcess> => {
    const child = spawn(program, ['-c', config], { stdio: ['ignore', 'ignore', 'pipe'] })
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      log += text
    })
    await answers(port, child, () => log)
    return child
  }
  let child = await launch()
  const stop = async (signal: 'SIGTERM' | 'SIGKILL' = 'SIGTERM'): Promise<void> => {
    if (child.exitCode !== null || child.signalCode !== null) return
    child.kill(signal)
    await once(child, 'exit')
  }
  return {
    port,
    url: `mqtt://127.0.0.1:${port}`,
    log: () => log,
    stop,
    async again() {
      await stop()
      child = await launch()
    },
    async remove() {
      await stop('SIGKILL')
      await folder.remove()
    },
  }
}

/** Until the port answers; a broker that ended instead says why. */
async function answers(port: number, child: ChildProcess, log: () => string): Promise<void> {
  for (let tries = 0; tries < 200; tries++) {
    if (child.exitCode !== null) throw new Error(`mosquitto ended at once: ${log()}`)
    if (await opens(port)) return
    await pause(50)
  }
  throw new Error(`mosquitto did not answer within 10 s: ${log()}`)
}

function opens(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1')
    socket.once('connect', () => {
      socket.destroy()
      resolve(true)
    })
    socket.once('error', () => resolve(false))
  })
}

/** What a client from the command line said and how it ended. */
export interface Said {
  code: number | null
  out: string
  err: string
}

/** `mosquitto_pub`: resolves when it ended, with QoS 1 therefore after the PUBACK. `input` goes to its stdin (for -s and -l). */
export async function mosquittoPub(port: number, args: readonly string[], input = ''): Promise<Said> {
  const child = spawn(programOf('broker', 'mosquitto_pub'), ['-h', '127.0.0.1', '-p', String(port), ...args])
  child.stdin.on('error', () => undefined).end(input)
  return ended(child)
}

/** `mosquitto_sub` until it has heard `count` messages or `seconds` are over; one message a line, `topic payload`. */
export async function mosquittoSub(
  port: number,
  topic: string,
  { count = 1, seconds = 10, args = [] }: { count?: number; seconds?: number; args?: readonly string[] } = {},
): Promise<string[]> {
  const wanted = ['-t', topic, '-v', '-q', '1', '-C', String(count), '-W', String(seconds), ...args]
  const child = spawn(programOf('broker', 'mosquitto_sub'), ['-h', '127.0.0.1', '-p', String(port), ...wanted])
  const { out } = await ended(child)
  return out.split('\n').filter((line) => line !== '')
}

async function ended(child: ChildProcess): Promise<Said> {
  const said: Said = { code: null, out: '', err: '' }
  child.stdout?.setEncoding('utf8').on('data', (text: string) => {
    said.out += text
  })
  child.stderr?.setEncoding('utf8').on('data', (text: string) => {
    said.err += text
  })
  const [code] = (await once(child, 'close')) as [number | null]
  return { ...said, code }
}
