/** A night as it really was, from the machines' first hour to the last reading. */
import { Chance } from '../lies/chance.ts'
import { vapourOf } from './air.ts'
import { Hall, Outside } from './hall.ts'
import type { House } from './house.ts'
import type { Powers } from './plant.ts'
import { Room, stepS } from './room.ts'
import { type Course, type Doings, type Happening, machines, shareAt } from './scene.ts'

const weatherEvery = 6

/**
 * Lives through the night, after some hours in which the room finds itself. `turned`: by what part of their rounds
 * all machines are ahead, in a night that is otherwise the same.
 */
export function live(
  name: string,
  house: House,
  doings: Doings,
  event: Happening | null,
  from: number,
  to: number,
  turned = 0,
): Course {
  const c = new Chance(`${name}/live`)
  const start = from - 6 * 3_600_000
  const outside = new Outside(c, house, stepS * weatherEvery)
  outside.step(start)
  const hall = new Hall(c, house, doings, outside, stepS)
  const room = new Room(house, outside, hall, (c.next() + turned) % 1)
  const steps = Math.round((to - from) / 1_000 / stepS) + 2
  const row = () => new Float64Array(steps)
  const course: Course = {
    from,
    stepMs: stepS * 1_000,
    zoneC: [row(), row()],
    zonePa: [row(), row()],
    wallC: row(),
    hallC: row(),
    hallPa: row(),
    outsideC: row(),
    outsidePa: row(),
    fan: row(),
    door: row(),
    wax: doings.pieces.map(row),
    heatLeft: 0,
    waterLeft: 0,
  }
  for (const s of [...doings.doors, ...(event?.doors ?? [])]) {
    const last = Math.min(steps, Math.ceil((s.to - from) / course.stepMs))
    for (let i = Math.max(0, Math.ceil((s.from - from) / course.stepMs)); i < last; i++)
      course.door[i] = Math.max(course.door[i]!, s.share)
  }
  const bodies = [...doings.racks, ...doings.pieces].map((b) => ({ ...b }))
  const coming = [...bodies].sort((a, b) => b.from - a.from)
  const dips = bodies.flatMap((body) => body.dips.map((dip) => ({ body, ...dip }))).sort((a, b) => b.at - a.at)
  const powers: Powers = { dehumidifier: 1, cooling: 1, heating: 1, fan: 1 }
  let got = { hallW: 0, hallKg: 0, fan: 1 }
  const before = Math.round((start - from) / 1_000 / stepS)
  for (let i = before; i < steps; i++) {
    const t = from + i * stepS * 1_000
    while (coming.length > 0 && coming.at(-1)!.from <= t) room.add(coming.pop()!)
    while (dips.length > 0 && dips.at(-1)!.at <= t) {
      const dip = dips.pop()!
      room.dip(dip.body, dip.kg, dip.slurryC)
    }
    if (event !== null) for (const m of machines) powers[m] = 1 - shareAt(event.missing[m], t)
    const door = i < 0 ? 0 : course.door[i]!
    const mains = event?.dark == null || t < event.dark.from || t >= event.dark.to
    if (i % weatherEvery === 0) outside.step(t)
    hall.step(t, stepS, outside, got.hallW, got.hallKg, mains)
    got = room.step(door, outside, hall, powers)
    if (i < 0) continue
    for (const z of [0, 1] as const) {
      course.zoneC[z][i] = room.c[z]
      course.zonePa[z][i] = vapourOf(room.ratio[z], house.pressurePa)
    }
    course.wallC[i] = room.lightC
    course.hallC[i] = hall.celsius
    course.hallPa[i] = vapourOf(hall.ratio, house.pressurePa)
    course.outsideC[i] = outside.celsius
    course.outsidePa[i] = outside.vapourPa
    course.fan[i] = got.fan
    doings.pieces.forEach((_, k) => {
      course.wax[k]![i] = bodies[doings.racks.length + k]!.coreC
    })
  }
  const left = room.left()
  course.heatLeft = left.heat
  course.waterLeft = left.water
  return course
}
