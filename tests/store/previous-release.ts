/** What the database of the previous release holds (tests/data/release-0.1.0.db): made of these entries by that release's own store. */
import type { Finding, NewEntry } from '../../shared/contract/index.ts'
import { fault, finding, noon, reading, unreadable } from './entries.ts'

const intervalMs = 30_000
const readingsEach = 300

/** Two and a half hours of two instruments and of one whose clock is wrong, with what was noted beside them; a pot that cools. */
export function releaseEntries(): NewEntry[] {
  const entries: NewEntry[] = [{ kind: 'start', at: noon, downSince: null }]
  for (let n = 0; n < readingsEach; n++) {
    const offsetMs = n * intervalMs
    entries.push(reading(offsetMs, Math.round(950 - n + ((n * 7) % 5)) / 10))
    entries.push(reading(offsetMs + 11, 45 + ((n * 13) % 40) / 10, { series: 'room.humidity' }))
    if (n % 50 === 7) entries.push(reading(offsetMs + 20, 850, { quality: 'bad', reason: 'sensor-code' }))
    if (n % 10 === 3)
      entries.push(
        reading(offsetMs, 21 + n / 1_000, {
          series: 'w2.temperature',
          quality: 'uncertain',
          reason: 'clock-wrong',
          claimedAt: noon - 86_400_000 + offsetMs,
        }),
      )
    if (n % 60 === 0) entries.push({ kind: 'tick', at: noon + offsetMs + 100 })
  }
  entries.push(fault(40, 'open circuit'), unreadable(3))
  entries.push({ kind: 'act', at: noon + 60, by: 'Invented person', act: 'acknowledge', alarm: 'a1' })
  return entries
}

export const releaseFinding: Finding = finding('f1', noon + 500)
/** Of a shape that no judge knows any more: it must be carried along, and not be believed. */
export const releaseSnapshot = { seq: 100, state: '{"invented":true}', shape: 1 }
