/** A gateway whose clock is led from here, and its memory as the system sees it. */
import { residentBytes } from '../../helpers/resident.ts'
import { type Child, type Ready, startChild } from './child.ts'

export interface Led {
  child: Child
  http: string
  mqtt: string
  /** Resolves when all that falls due up to then has been done. */
  lead(at: number): Promise<void>
  residentMb(): number
}

export async function startLed(folder: string, at: number): Promise<Led> {
  const flags = ['--data', folder, '--http', '127.0.0.1:0', '--mqtt', '127.0.0.1:0', '--log', 'error', '--clock', 'led']
  const child = startChild('gateway/main.js', flags)
  // Said before it has opened anything, so that its very first entry is dated there.
  child.process.send({ lead: { at, pace: 0 } })
  const { ready } = await child.hear<Ready>()
  await child.hear()
  return {
    child,
    ...ready,
    lead: async (to) => {
      await child.ask({ lead: { at: to, pace: 0 } })
    },
    residentMb: () => residentBytes(child.process.pid ?? 0) / 2 ** 20,
  }
}
