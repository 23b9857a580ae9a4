/** How much memory a process really holds, as its system counts it. */
import { readFileSync } from 'node:fs'

/** Resident set of a running process, bytes (Linux: /proc/PID/status, VmRSS). */
export function residentBytes(pid: number): number {
  const kilobytes = /^VmRSS:\s+(\d+) kB$/m.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1]
  if (kilobytes === undefined) throw new Error(`The system does not say what process ${pid} holds.`)
  return Number(kilobytes) * 1_024
}
