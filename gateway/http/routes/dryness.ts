/** The dip board: which shells may be dipped, as far as anybody can tell, told from readings that are stored. */
import type { DipBoard, DipBoardItem, DryingRecipe, Station } from '../../../shared/contract/index.ts'
import type { PieceMemory, SeriesRules, StationRules } from '../../../shared/judge/index.ts'
import { pressureAtPa } from '../../../shared/physics/humidity.ts'
import { type EpochMs, minuteMs } from '../../../shared/time.ts'
import { beforeDipMs, boardItem, type HeardDrying, leastDry, memoryOf } from '../../record/dryness/board.ts'
import type { NightColumns } from '../../record/night/material.ts'
import { leadingOf } from '../../record/night/review.ts'
import type { RunEntry } from '../../foreman/ledger.ts'
import type { Rooms } from '../rooms.ts'
import type { Api } from './api.ts'
import { readSeries } from './night-material.ts'

const tags = ['dryings']
/** Earlier nights a piece is taught from. Reason: three teach nearly as much as ten, and each is read again. */
const taughtMax = 5
/** What a piece learnt is kept for so many runs. */
const keptMax = 24
const seaLevelPa = 101_325

/** What an open drying's piece was taught, until somebody weighs again or another night is over. */
type Kept = Map<string, { by: string; memory: PieceMemory | null; past: HeardDrying[] }>

export function drynessRoutes(api: Api, rooms: Rooms): void {
  const kept: Kept = new Map()
  api.get(
    '/api/v1/dip-board',
    {
      schema: {
        tags,
        summary:
          'Which shells may be dipped, as far as anybody can tell: recovery of the test piece, what it meant when it was weighed, and when it will be dry',
      },
    },
    async (): Promise<DipBoard> => {
      const now = rooms.clock.now()
      const items: DipBoardItem[] = []
      const open = rooms.foreman.ledger.list().filter((r) => r.declaration.kind === 'drying' && r.endedAt === null)
      for (const run of open) {
        const item = await itemOf(rooms, run, open, now, kept)
        if (item) items.push(item)
      }
      return { now, readTo: now, items, everyMs: minuteMs }
    },
  )
}

interface Home {
  rules: StationRules
  station: Station
  recipe: DryingRecipe
  air: SeriesRules | undefined
  humidity: SeriesRules | undefined
  /** Every test piece of the room. */
  waxes: readonly SeriesRules[]
}

/** Null where its station or its recipe is gone from the foundry. */
function homeOf(rooms: Rooms, run: RunEntry): Home | null {
  const { rules: house } = rooms.foreman.house
  const rules = house.stations[house.stationOf.get(run.declaration.station) ?? -1]
  if (!rules) return null
  const { recipes, instruments } = house.foundry
  const revisions = recipes.filter((r) => r.kind === 'drying' && r.id === run.declaration.recipe) as DryingRecipe[]
  const asked = run.recipeRevision ?? run.declaration.revision
  const recipe = revisions.find((r) => r.revision === asked) ?? revisions.at(-1)
  if (!recipe) return null
  const leading = leadingOf(
    rules.station,
    instruments.filter((i) => i.station === rules.station.id),
  )
  const of = (quantity: string, isMine: (s: SeriesRules) => boolean) =>
    rules.series.find((s) => s.quantity === quantity && isMine(s))
  const isLeading = (s: SeriesRules) => rules.instruments[s.instrument]?.id === leading
  return {
    rules,
    station: rules.station,
    recipe,
    air: of('temperature', isLeading),
    humidity: of('humidity', isLeading),
    waxes: rules.series.filter(
      (s) => s.quantity === 'temperature' && rules.instruments[s.instrument]?.place === 'test-piece',
    ),
  }
}

async function heardOf(
  rooms: Rooms,
  home: Home,
  run: RunEntry,
  to: EpochMs,
  wax: SeriesRules | undefined,
): Promise<HeardDrying> {
  const count = { readings: 0 }
  const none: NightColumns = {
    t: new Float64Array(0),
    v: new Float64Array(0),
    quality: new Uint8Array(0),
    arrivedAt: new Float64Array(0),
  }
  const read = async (one: SeriesRules | undefined): Promise<NightColumns> =>
    one === undefined
      ? none
      : (await readSeries(rooms, home.rules, one, run.startedAt - beforeDipMs, to, count)).columns
  return {
    run: run.id,
    dippedAt: run.startedAt,
    to,
    air: await read(home.air),
    humidity: await read(home.humidity),
    wax: wax === undefined ? null : await read(wax),
    steps: run.steps,
  }
}

const earlierOf = (rooms: Rooms, run: RunEntry): RunEntry[] =>
  rooms.foreman.ledger
    .list()
    .filter((r) => r.endedAt !== null && r.id !== run.id && r.declaration.kind === 'drying')
    .filter((r) => r.declaration.station === run.declaration.station && r.declaration.recipe === run.declaration.recipe)
    .filter((r) => r.steps.some(({ step }) => step.step === 'weigh' || step.step === 'indicator'))
    .slice(0, taughtMax)

async function itemOf(
  rooms: Rooms,
  run: RunEntry,
  open: readonly RunEntry[],
  now: EpochMs,
  kept: Kept,
): Promise<DipBoardItem | null> {
  const home = homeOf(rooms, run)
  if (home === null) return null
  const { station, piece } = run.declaration
  const idOf = (wax: SeriesRules) => home.rules.instruments[wax.instrument]?.id ?? wax.series
  const ask = {
    recipe: home.recipe,
    pressurePa: pressureAtPa(rooms.foreman.house.rules.foundry.site.elevationM) ?? seaLevelPa,
    now,
    isNewest: !open.some((o) => o.declaration.station === station && o.startedAt > run.startedAt),
    probes: home.waxes.map(idOf),
  }
  const earlier = earlierOf(rooms, run)
  const taughtBy = JSON.stringify([earlier.map((r) => [r.id, r.steps.length]), home.recipe])
  const told = []
  for (const wax of home.waxes.length > 0 ? home.waxes : [undefined]) {
    const mine = { ...ask, probe: wax === undefined ? null : idOf(wax) }
    const tonight = await heardOf(rooms, home, run, now, wax)
    const key = `${run.id} ${mine.probe ?? ''}`
    let learnt = kept.get(key)
    if (learnt?.by !== taughtBy) {
      const past: HeardDrying[] = []
      for (const one of earlier) past.push(await heardOf(rooms, home, one, one.endedAt ?? now, wax))
      learnt = { by: taughtBy, memory: memoryOf(tonight, past, mine), past }
      kept.delete(key)
      kept.set(key, learnt)
      for (const oldest of kept.keys()) if (kept.size > keptMax) kept.delete(oldest)
    }
    told.push(boardItem(tonight, learnt.past, learnt.memory, mine))
  }
  const item = leastDry(told)
  return item ? { ...item, station, piece: piece ?? null, startedBy: run.startedBy } : null
}
