/** An hour of the full demo, sixty times faster: sixty hours of a foundry. Its memory stays small and does not grow. */
import { spawn } from 'node:child_process'
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { expect, it, onTestFinished } from 'vitest'
import { freePort } from '../helpers/free-port.ts'

const minutes = Number(process.env['CIREWATCH_TEST_MINUTES'] ?? 60)
const residentMbMax = 200
/** The second half may lie above the first by this much: the heap breathes. */
const growthMbMax = 10

function gatewayOf(parent: number): number | null {
  for (const pid of readdirSync('/proc').filter((name) => /^\d+$/.test(name))) {
    try {
      const status = readFileSync(`/proc/${pid}/status`, 'utf8')
      if (new RegExp(`^PPid:\\s+${parent}$`, 'm').test(status)) return Number(pid)
    } catch {
      // It ended while we looked.
    }
  }
  return null
}

function residentMb(pid: number): number {
  return Number(/^VmRSS:\s+(\d+) kB$/m.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1]) / 1_024
}

const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length

it(`the gateway of the demo stays below ${residentMbMax} MB at pace 60`, async () => {
  const [http, mqtt] = [await freePort(), await freePort()]
  const args = [
    join(import.meta.dirname, '../../build/simulators/demo.js'),
    '--pace',
    '60',
    '--http',
    `127.0.0.1:${http}`,
    '--mqtt',
    `127.0.0.1:${mqtt}`,
  ]
  const demo = spawn(process.execPath, args, { stdio: 'ignore' })
  onTestFinished(() => void demo.kill('SIGTERM'))
  const ready = async () =>
    (await fetch(`http://127.0.0.1:${http}/api/v1/about`).then(
      (r) => r.json(),
      () => null,
    )) as { clock: { pace: number } } | null
  while ((await ready())?.clock.pace !== 60) await pause(1_000)
  const pid = gatewayOf(demo.pid as number)
  if (pid === null) throw new Error('The demo has no gateway.')

  const samples: number[] = []
  for (let sample = 0; sample < minutes * 6; sample++) {
    await pause(10_000)
    samples.push(residentMb(pid))
  }
  const half = Math.floor(samples.length / 2)
  const [before, after] = [mean(samples.slice(0, half)), mean(samples.slice(half))]
  console.log(
    `${minutes} min at pace 60: highest ${Math.max(...samples).toFixed(0)} MB, first half ${before.toFixed(0)} MB, second ${after.toFixed(0)} MB on average`,
  )
  expect(Math.max(...samples)).toBeLessThanOrEqual(residentMbMax)
  expect(after - before).toBeLessThanOrEqual(growthMbMax)
})
