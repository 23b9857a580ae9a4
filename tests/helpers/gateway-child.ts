/** The built gateway as a process of its own, as a foundry would run it: started, asked, killed, started again on the same data. */
import { type ChildProcess, spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync } from 'node:fs'
import { join } from 'node:path'

export const mainProgram = join(import.meta.dirname, '../../build/gateway/main.js')

export interface ChildWish {
  data: string
  flags?: readonly string[]
  environment?: Record<string, string>
  /** Words before `node`, for example a tracer and its options. */
  under?: readonly string[]
}

export interface GatewayChild {
  http: string
  mqttPort: number
  pid: number
  /** Everything it printed so far, both streams. */
  said(): string
  /** SIGKILL ends it without a word, as a power cut would; SIGTERM asks it to stop. Resolves with its exit code. */
  stop(signal: 'SIGKILL' | 'SIGTERM'): Promise<number | null>
}

export interface Ended {
  code: number | null
  out: string
  err: string
}

/** The surroundings of this test without any setting of a gateway that the person at the keyboard may have. */
function plainEnvironment(more: Record<string, string> = {}): NodeJS.ProcessEnv {
  const own = Object.entries(process.env).filter(([name]) => !name.startsWith('CIREWATCH_'))
  return { ...Object.fromEntries(own), ...more }
}

function launch({ data, flags = [], environment, under = [] }: ChildWish): ChildProcess {
  if (!existsSync(mainProgram)) throw new Error('The gateway is not built: run `npm run build` once before this test.')
  const ports = ['--http', '127.0.0.1:0', '--mqtt', '127.0.0.1:0']
  const words = [...under, process.execPath, mainProgram, '--data', data, ...ports, ...flags]
  return spawn(words[0] as string, words.slice(1), {
    stdio: ['ignore', 'pipe', 'pipe'],
    env: plainEnvironment(environment),
  })
}

/** Starts one and waits until it listens. */
export async function startChild(wish: ChildWish): Promise<GatewayChild> {
  const child = launch(wish)
  let said = ''
  const gone = once(child, 'close')
  const up = new Promise<{ http: string; mqtt: string }>((resolve) => {
    const hear = (text: string) => {
      said += text
      // The last piece may be half a line; the rest of it is still to come.
      for (const line of said.split('\n').slice(0, -1))
        if (line.includes('the gateway is up')) resolve(listeningIn(line))
    }
    child.stdout?.setEncoding('utf8').on('data', hear)
    child.stderr?.setEncoding('utf8').on('data', hear)
  })
  const at = await Promise.race([up, gone.then(() => null)])
  if (at === null) throw new Error(`The gateway ended at once: ${said}`)
  return {
    http: at.http.replace('0.0.0.0', '127.0.0.1'),
    mqttPort: Number(/:(\d+)$/.exec(at.mqtt)?.[1]),
    pid: child.pid ?? 0,
    said: () => said,
    async stop(signal) {
      child.kill(signal)
      const [code] = (await gone) as [number | null]
      return code
    },
  }
}

function listeningIn(line: string): { http: string; mqtt: string } {
  return (JSON.parse(line) as { listening: { http: string; mqtt: string } }).listening
}

/** Starts one that is expected to refuse, and waits until it has. */
export async function refusedChild(wish: ChildWish): Promise<Ended> {
  const child = launch(wish)
  const ended: Ended = { code: null, out: '', err: '' }
  child.stdout?.setEncoding('utf8').on('data', (text: string) => {
    ended.out += text
  })
  child.stderr?.setEncoding('utf8').on('data', (text: string) => {
    ended.err += text
  })
  const [code] = (await once(child, 'close')) as [number | null]
  return { ...ended, code }
}
