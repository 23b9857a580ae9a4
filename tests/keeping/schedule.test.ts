/** Backups by the clock: a foundry that sets a folder finds a fresh copy there every day, and is told when it does not. */
import { describe, expect, it } from 'vitest'
import { LedClock } from '../../gateway/clock.ts'
import type { BackupPlace } from '../../gateway/upkeep/backups.ts'
import { BackupSchedule } from '../../gateway/upkeep/backup-schedule.ts'
import type { BackupListed } from '../../shared/contract/index.ts'
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts'

const noon = Date.UTC(2026, 10, 25, 12)

/** A folder that lies in memory, on a disk that can be full. */
class Drawer implements BackupPlace {
  readonly folder = 'drawer'
  files: BackupListed[] = []
  full = false
  /** What happened, in order. */
  readonly did: string[] = []

  async list() {
    return this.files.toSorted((a, b) => b.at - a.at)
  }
  async make(at: number) {
    if (this.full) throw new Error('There is no room for the backup')
    const file = { name: `of ${at}`, at, bytes: 10 }
    this.files.push(file)
    this.did.push(`made ${file.name}`)
    return file
  }
  async remove(name: string) {
    this.files = this.files.filter((file) => file.name !== name)
    this.did.push(`removed ${name}`)
  }
  progress() {
    return null
  }
  stop() {}
}

function house(at: number, more: { everyHours?: number; keep?: number; drawer?: Drawer } = {}) {
  const clock = new LedClock(at)
  const drawer = more.drawer ?? new Drawer()
  const said: string[] = []
  const known = { time: true }
  const schedule = new BackupSchedule(
    { place: drawer, everyHours: more.everyHours ?? 24, keep: more.keep ?? 3 },
    { clock, knowsTime: () => known.time, tell: (sentence) => said.push(sentence) },
  )
  /** Looks once a minute until then, as upkeep does. */
  async function lead(to: number, everyMs = minuteMs) {
    while (clock.now() < to) {
      await clock.lead(Math.min(to, clock.now() + everyMs), 0, async () => {})
      await schedule.look()
    }
  }
  return { clock, drawer, schedule, said, known, lead }
}

describe('backups by the clock', () => {
  it('are made at once where there is none, then once a day, and as many are kept as the house wishes', async () => {
    const { drawer, lead } = house(noon)
    await lead(noon + 5 * dayMs, 10 * minuteMs)
    expect(drawer.did.filter((line) => line.startsWith('made'))).toHaveLength(5)
    expect(drawer.files).toHaveLength(3)
    const gaps = drawer.files.map(({ at }) => at).map((at, i, all) => (i === 0 ? dayMs : at - (all[i - 1] as number)))
    expect(gaps.every((gap) => gap >= dayMs && gap <= dayMs + 10 * minuteMs)).toBe(true)
  })

  it('go on from the newest one after a restart, not anew', async () => {
    const drawer = new Drawer()
    drawer.files = [{ name: 'yesterday', at: noon - 20 * hourMs, bytes: 10 }]
    const { lead } = house(noon, { drawer })
    await lead(noon + 3 * hourMs)
    expect(drawer.did).toEqual([])
    await lead(noon + 5 * hourMs)
    expect(drawer.did).toHaveLength(1)
  })

  it('take an old one away only once the new one is there', async () => {
    const { drawer, lead } = house(noon, { keep: 1 })
    await lead(noon + 2 * dayMs + hourMs, 10 * minuteMs)
    for (const [i, line] of drawer.did.entries())
      if (line.startsWith('removed')) expect(drawer.did[i - 1]).toMatch(/^made/)
    expect(drawer.files).toHaveLength(1)
  })

  it('take nothing away while they fail, say so, and are tried again every hour until they succeed', async () => {
    const { drawer, schedule, said, lead } = house(noon, { keep: 1 })
    await lead(noon + hourMs)
    const before = drawer.files
    drawer.full = true
    await lead(noon + dayMs + 5.5 * hourMs)
    expect(drawer.files).toEqual(before)
    expect(schedule.failures).toBe(6)
    expect((await schedule.told()).trouble).toBe('There is no room for the backup.')
    expect(said.filter((sentence) => sentence.includes('no room'))).toHaveLength(6)
    drawer.full = false
    await lead(noon + dayMs + 7 * hourMs)
    expect((await schedule.told()).trouble).toBeNull()
    expect(drawer.files).toHaveLength(1)
    expect(drawer.files).not.toEqual(before)
  })

  it('are not made by a gateway that does not know the time, which says so', async () => {
    const { drawer, schedule, known, lead } = house(noon)
    known.time = false
    await lead(noon + 2 * dayMs, hourMs)
    expect(drawer.did).toEqual([])
    const told = await schedule.told()
    expect(told.nextAt).toBeNull()
    expect(told.waiting).toContain('does not know the time')
    await schedule.makeNow()
    expect(drawer.did).toEqual([])
    expect((await schedule.told()).trouble).toContain('does not know the time')
  })

  it('go on after the clock was set back, and leave those from the future alone', async () => {
    const { drawer, lead } = house(noon + 100 * dayMs, { keep: 2 })
    await lead(noon + 103 * dayMs, hourMs)
    const ahead = drawer.files.map(({ name }) => name)
    const back = house(noon, { keep: 2, drawer })
    await back.lead(noon + 5 * dayMs, hourMs)
    expect(drawer.files.filter(({ at }) => at <= noon + 5 * dayMs)).toHaveLength(2)
    expect(drawer.files.map(({ name }) => name)).toEqual(expect.arrayContaining(ahead))
  })

  it('are made only once when somebody asks while one is being made', async () => {
    const { drawer, schedule } = house(noon)
    await Promise.all([schedule.makeNow(), schedule.makeNow(), schedule.look()])
    expect(drawer.did).toHaveLength(1)
  })

  it('say when the next is due', async () => {
    const { schedule, lead } = house(noon, { everyHours: 6 })
    await lead(noon + hourMs)
    const { nextAt, items } = await schedule.told()
    expect(nextAt).toBe((items[0]?.at ?? 0) + 6 * hourMs)
  })
})
