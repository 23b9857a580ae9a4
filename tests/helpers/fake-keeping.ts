/** What is kept in the invented foundry, as a gateway would tell it. */
import type { KeepingBody } from '../../shared/contract/index.ts'
import { hourMs } from '../../shared/time.ts'
import { fakeNow } from './fake-foundry.ts'

export function fakeKeeping(): KeepingBody {
  const item = (daysAgo: number, bytes: number) => {
    const at = fakeNow - daysAgo * 24 * hourMs - 6 * hourMs
    return { name: `cirewatch-${new Date(at).toISOString().slice(0, 19).replaceAll(':', '-')}Z.db`, at, bytes }
  }
  return {
    now: fakeNow,
    data: '/var/lib/cirewatch',
    held: {
      readings: 12_345_678,
      series: 64,
      since: Date.UTC(2030, 2, 3, 9),
      bytes: 38_000_000,
      sealedReadings: 12_300_000,
      sealedBytes: 30_750_000,
    },
    retention: { keepDays: null, letGo: 0, times: [], trouble: null },
    disk: { freeBytes: 21_400_000_000, totalBytes: 62_000_000_000 },
    pace: { weekReadings: 5_432_100, weekBytes: 13_600_000, lastsMs: 30 * 365 * 24 * hourMs },
    backups: {
      folder: '/media/usb-stick/cirewatch-copies',
      everyHours: 24,
      keep: 7,
      items: [item(0, 38_000_000), item(1, 37_400_000), item(2, 36_900_000)],
      making: null,
      nextAt: fakeNow + 18 * hourMs,
      waiting: null,
      trouble: null,
    },
    mail: {
      server: 'mail.example.org:587',
      at: '07:00',
      recipients: 2,
      nextAt: fakeNow + 9 * hourMs,
      held: null,
      last: { night: '2031-03-02', at: fakeNow - 15 * hourMs, taken: 2, waiting: 0, refused: [] },
      trouble: null,
      againAt: null,
    },
    sealingTrouble: null,
  }
}
