/** What people and neighbours do on a night, whatever else happens: doors, gates, wet floors, a kiln, racks, test pieces. */
import { Chance } from '../lies/chance.ts'
import type { House } from './house.ts'
import type { Body, Doings, Stretch } from './scene.ts'

const hourMs = 3_600_000

/** Comings and goings, so many in an hour, each between so many seconds. */
function comings(c: Chance, from: number, to: number, perHour: number, leastS: number, mostS: number): Stretch[] {
  const found: Stretch[] = []
  for (let t = from; ; ) {
    t += (-Math.log(1 - c.next()) / perHour) * hourMs
    if (t >= to) return found
    found.push({ from: t, to: t + c.scaled(leastS, mostS) * 1_000, share: c.between(0.4, 1) })
  }
}

function bodyOf(c: Chance, area: number, from: number, zone: 0 | 1, setC: number): Body {
  return {
    from,
    zone,
    area,
    reach: c.between(0.45, 1),
    skinJ: area * c.between(6_000, 14_000),
    coreJ: area * c.scaled(8_000, 30_000),
    between: area * c.between(15, 45),
    skinC: setC,
    coreC: setC,
    waterKg: 0,
    fullKg: 1,
    critical: c.between(0.25, 0.7),
    dips: [],
  }
}

export function doingsOf(name: string, house: House, from: number, pieces: number): Doings {
  const c = new Chance(`${name}/doings`)
  const at = (hour: number) => from + (hour - 12) * hourMs
  const leaves = c.between(17.2, c.often(0.25) ? 22 : 18.6)
  const arrives = c.between(30, 31.8)
  const doors = [
    ...comings(c, at(12), at(leaves), c.scaled(1.5, 6), 10, 75),
    ...comings(c, at(arrives), at(32), c.scaled(1.5, 6), 10, 75),
    // Somebody looks after something, or a guard makes a round.
    ...comings(c, at(leaves), at(arrives), c.pick([0.02, 0.1, 0.3]), 10, 60),
  ]
  const shelfC = house.setC + c.between(-1.5, 1.5)
  const racks: Body[] = []
  const size = c.scaled(0.025, 0.12) * (house.volumes[0] + house.volumes[1])
  const zone = () => (c.often(0.7) ? 1 : 0)
  /** Water of a dip, kg/m² of face: a few millimetres of slurry and sand, a fifth to a quarter of it water. */
  const waterOf = (area: number) => area * c.scaled(0.25, 0.95)
  for (let i = c.whole(1, 2); i > 0; i--) {
    const body = bodyOf(c, size * c.between(0.4, 1), from - 6 * hourMs, zone(), house.setC)
    body.waterKg = waterOf(body.area) * c.between(0, 0.8)
    body.fullKg = Math.max(body.waterKg, 0.4 * body.area)
    racks.push(body)
  }
  if (c.often(0.6)) {
    // A slurry tank under half a lid, or a floor that never dries.
    const tank = bodyOf(c, c.scaled(0.25, 2), from - 6 * hourMs, 1, house.setC)
    racks.push({ ...tank, coreJ: tank.area * 800_000, between: tank.area * 200, waterKg: 20, fullKg: 20 })
  }
  const fresh = [
    ...Array.from({ length: c.whole(0, 2) }, () => at(c.between(12, Math.min(leaves, 17.5)))),
    ...(c.often(0.4) ? [at(c.between(16.5, leaves))] : []),
    // Late work, or an early hand.
    ...(c.often(0.15) ? [at(c.between(18, 22.5))] : []),
    ...(c.often(0.15) ? [at(c.between(arrives, 32))] : []),
  ]
  for (const t of fresh) {
    const body = bodyOf(c, size * c.between(0.3, 1.2), t, zone(), shelfC)
    body.skinC = shelfC - c.between(0, 1.5)
    body.waterKg = waterOf(body.area)
    body.fullKg = body.waterKg
    racks.push(body)
    doors.push({ from: t - c.between(10, 30) * 1_000, to: t + c.between(15, 85) * 1_000, share: 1 })
  }
  const test: Body[] = []
  const dippedAt = c.often(0.85) ? at(c.between(14.5, Math.max(17.6, leaves))) : null
  for (let i = 0; i < pieces; i++) {
    const isPocket = c.often(0.5)
    const body = bodyOf(c, c.between(0.03, 0.2), from - 6 * hourMs, zone(), house.setC)
    body.reach = isPocket ? c.between(0.12, 0.35) : c.between(0.5, 1)
    body.waterKg = 0.3 * body.area * c.between(0, 1)
    body.fullKg = 0.5 * body.area
    if (dippedAt !== null) body.dips.push({ at: dippedAt + i * 240_000, kg: waterOf(body.area), slurryC: shelfC })
    test.push(body)
  }
  const gate = [
    ...comings(c, at(12), at(leaves), c.scaled(0.2, 1.2), 90, 1_500),
    ...comings(c, at(arrives), at(32), c.scaled(0.2, 1.2), 90, 1_500),
    ...comings(c, at(leaves), at(arrives), c.pick([0, 0, 0.05]) + 1e-9, 60, 2_400),
  ]
  const hall = house.hall.volume
  const mop: Stretch[] = []
  if (c.often(0.3)) {
    const t = at(c.between(17, 21))
    mop.push({ from: t, to: t + c.between(600, 1_800) * 1_000, share: (hall * c.scaled(1e-3, 6e-3)) / 1_200 })
  }
  const kiln: Stretch[] = []
  if (c.often(0.25)) {
    const t = at(c.between(13, 25))
    kiln.push({
      from: t,
      to: t + c.between(3, 14) * hourMs,
      share: hall * c.scaled(3, 18),
      rampS: c.between(3_600, 14_400),
    })
  }
  return { doors, gate, mop, kiln, racks, pieces: test }
}
