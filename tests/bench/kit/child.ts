/** Children of a bench: started, spoken to one question at a time, and ended. */
import { type ChildProcess, fork } from 'node:child_process'
import { once } from 'node:events'
import { join } from 'node:path'

/** Everything built; this file lies in `tests/bench/kit` of it. */
export const build = join(import.meta.dirname, '..', '..', '..')

export interface Child {
  process: ChildProcess
  ask<T>(question: unknown): Promise<T>
  hear<T>(): Promise<T>
  end(): Promise<void>
}

export function startChild(file: string, args: readonly string[] = []): Child {
  const child = fork(join(build, file), args, { stdio: ['ignore', 'ignore', 'inherit', 'ipc'] })
  const heard: unknown[] = []
  const waiting: ((message: unknown) => void)[] = []
  child.on('message', (message) => {
    const wake = waiting.shift()
    if (wake) wake(message)
    else heard.push(message)
  })
  const hear = <T>(): Promise<T> =>
    new Promise((resolve, reject) => {
      if (heard.length > 0) return resolve(heard.shift() as T)
      waiting.push((message) => resolve(message as T))
      child.once('exit', (code) => reject(new Error(`${file} ended with ${code}.`)))
    })
  child.setMaxListeners(0)
  return {
    process: child,
    hear,
    ask<T>(question: unknown) {
      child.send(question as object)
      return hear<T>()
    },
    async end() {
      if (child.exitCode !== null || child.signalCode !== null) return
      child.kill('SIGTERM')
      await once(child, 'exit')
    },
  }
}

export interface Ready {
  ready: { http: string; mqtt: string }
}

export function startOurs(folder: string): Child {
  return startChild('gateway/main.js', [
    '--data',
    folder,
    '--http',
    '127.0.0.1:0',
    '--mqtt',
    '127.0.0.1:0',
    '--log',
    'error',
  ])
}

export async function setUp(http: string, foundry: unknown): Promise<void> {
  const response = await fetch(`${http}/api/v1/foundry`, {
    method: 'PUT',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(foundry),
  })
  if (!response.ok) throw new Error(`The bench foundry was refused: ${await response.text()}`)
}

export const portOf = (mqtt: string): number => Number(/:(\d+)$/.exec(mqtt)?.[1])
