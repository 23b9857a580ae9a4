/** One pot led through the judge: its body, its thermostat, its day, and what is found of it. */
import type { Entry, Finding, Foundry, WaxRecipe } from '../../shared/contract/index.ts'
import { emptyHouse, judge, stationView } from '../../shared/judge/index.ts'
import type { House } from '../../shared/judge/state.ts'
import { middleC, potAt, potFor, stepWaxPot } from '../../simulators/bodies/wax-pot.ts'
import { chance } from '../../simulators/random.ts'

export const morning = Date.parse('2026-03-02T06:00:00Z')
export const minute = 60_000

export const recipe: WaxRecipe = {
  kind: 'wax',
  id: 'w',
  name: 'Wax',
  revision: 1,
  conditioning: { window: { fromC: 104, toC: 118 }, holdMinutes: 20, stirred: true },
  coats: [
    { id: 'one', name: 'One', window: { fromC: 104, toC: 110 } },
    { id: 'two', name: 'Two', window: { fromC: 93, toC: 97 } },
    { id: 'slush', name: 'Slush', window: { fromC: 74, toC: 78 }, slush: true },
  ],
  congealing: { fromC: 57, toC: 66 },
}

export function potFoundry(setPointC?: number, more: object = {}): Foundry {
  return {
    site: { name: 'Test', timeZone: 'UTC', elevationM: 0, invented: true },
    stations: [
      {
        id: 'P',
        name: 'Pot',
        kind: 'pot',
        limits: [{ kind: 'ceiling', aboveC: 150 }],
        pot: { recipe: 'w', ...(setPointC === undefined ? {} : { setPointC }), ...more },
      },
    ],
    instruments: [{ id: 'p', name: 'Probe', kind: 'thermocouple', station: 'P', place: 'wax-middle', intervalS: 10 }],
    recipes: [recipe],
  }
}

export class Led {
  house: House
  seq = 1
  readonly found: Finding[] = []
  constructor(foundry: Foundry, at = morning) {
    this.house = emptyHouse()
    this.enter({ kind: 'foundry', seq: 0, at, revision: 1, foundry })
  }
  enter(entry: Entry): void {
    const [house, changes] = judge(this.house, entry)
    this.house = house
    this.found.push(...changes.findings)
  }
  reads(at: number, value: number): void {
    this.enter({
      kind: 'reading',
      seq: this.seq++,
      at: at + 200,
      series: 'p.temperature',
      measuredAt: at,
      value,
      quality: 'good',
    })
  }
  act(at: number, act: 'stirred' | 'new-wax'): void {
    this.enter({ kind: 'act', seq: this.seq++, at, by: 'Ana', act, station: 'P' })
  }
  get pot() {
    return stationView(this.house, 0).pot
  }
  kinds(): string[] {
    return this.found.filter((f) => f.clearedAt === undefined).map((f) => f.kind)
  }
}

export interface Weather {
  kg: number
  heaterW: number
  setPointC: number
  seed: number
  /** Minutes after the beginning at which its relay welds; never where absent. */
  weldsAt?: number
  days: number
}

/** A pot through its days: on from six to five, lid on and off, stirred, topped up, dipped into, its dial turned now and then. */
export function lead(led: Led, w: Weather, onStep?: (at: number, waxC: number) => boolean): void {
  const c = chance(w.seed)
  const pot = potFor(w.kg, w.heaterW)
  let state = potAt(pot, 24)
  let dial = w.setPointC
  const stepS = 5
  for (let s = 0; s < w.days * 86_400; s += stepS) {
    const at = morning + s * 1_000
    const hour = 6 + ((s / 3_600) % 24)
    if (s % 86_400 === 0) dial = w.setPointC + (c.next() < 0.2 ? Math.round(6 * c.next() - 3) : 0)
    const isOn = hour < 17 && !(hour > 12 && hour < 12.7 && c.next() < 0)
    const controls = {
      on: isOn,
      setPointC: dial,
      lidOn: hour < 7 || hour > 16.5 || Math.floor(hour * 3) % 4 === 0,
      stirred: Math.floor(s / 60) % 25 === 0,
      ambientC: 20 + 3 * Math.sin(s / 14_000),
      mains: !(hour > 10 && hour < 10.04),
      welded: w.weldsAt !== undefined && s >= w.weldsAt * 60,
    }
    state = stepWaxPot(pot, state, controls, stepS)
    if (s % 10 !== 0) continue
    const dips = Math.floor(s / 20) % 37 === 0 ? 1.5 * c.next() : 0
    const value = Math.round((middleC(pot, state) - dips + 0.12 * (c.next() + c.next() + c.next() - 1.5) * 2) * 10) / 10
    led.reads(at, value)
    if (onStep?.(at, middleC(pot, state))) return
  }
}
