/** Instruments: as they stand now, over their lives, and what is found when they are held against references. */
import { z } from 'zod'
import {
  Calibration,
  checkReferences,
  type CheckTried,
  type EmissivityTried,
  Fault,
  type Instrument,
  type DoubtPast,
  type InstrumentLife,
  type InstrumentNow,
  Label,
  Name,
  splitSeriesId,
} from '../../../shared/contract/index.ts'
import { checkDueAt } from '../../../shared/judge/index.ts'
import { instrumentNow, type SeriesStored } from '../../record/instrument-now.ts'
import type { Rooms } from '../rooms.ts'
import { type Api, By } from './api.ts'

const tags = ['instruments']
const Id = z.object({ id: z.string().max(200) })

/** When the judge will say that its check is due. */
function dueAtOf({ foreman }: Rooms, instrument: Instrument): number | null {
  const { rules, stations } = foreman.house
  const at = rules.instrumentAt.get(instrument.id)
  const state = at && stations[at.station]?.instruments[at.instrument]
  const due = state ? checkDueAt(instrument, state) : Infinity
  return due === Infinity ? null : due
}

function nowOf(rooms: Rooms, instrument: Instrument, stored: readonly SeriesStored[]): InstrumentNow {
  const { foreman } = rooms
  return instrumentNow({
    instrument,
    stored,
    checkedAt: foreman.ledger.checksOf(instrument.id).at(-1)?.at ?? null,
    dueAt: dueAtOf(rooms, instrument),
    doubts: foreman.examinationOf(instrument.id).doubts,
  })
}

async function storedByInstrument(rooms: Rooms): Promise<Map<string, SeriesStored[]>> {
  const all = new Map<string, SeriesStored[]>()
  for (const summary of await rooms.store.summaries()) {
    const id = splitSeriesId(summary.series)?.instrument
    if (id !== undefined) all.set(id, [...(all.get(id) ?? []), summary])
  }
  return all
}

async function oneNow(rooms: Rooms, id: string): Promise<InstrumentNow> {
  const instrument = rooms.foreman.house.rules.foundry.instruments.find((i) => i.id === id)
  if (instrument === undefined) throw new Fault('not-found', `There is no instrument "${id}".`)
  return nowOf(rooms, instrument, (await storedByInstrument(rooms)).get(id) ?? [])
}

/** Findings looked through for what an instrument was suspected of. Reason: some years of a station. */
const findingsLookedThrough = 5_000

async function doubtsPast({ store }: Rooms, { id, station }: InstrumentNow): Promise<DoubtPast[]> {
  const findings = await store.findings({ station, limit: findingsLookedThrough })
  return findings.flatMap((finding): DoubtPast[] => {
    if (finding.kind !== 'instrument-doubt' || finding.instrument !== id) return []
    const { id: name, facts, raisedAt, clearedAt } = finding
    return [{ finding: name, doubt: facts.doubt, raisedAt, ...(clearedAt === undefined ? {} : { clearedAt }) }]
  })
}

export function instrumentRoutes(api: Api, rooms: Rooms): void {
  api.get(
    '/api/v1/instruments',
    { schema: { tags, summary: 'Instruments: newest values as sent and as meant, how sure, when checked' } },
    async (): Promise<{ items: InstrumentNow[] }> => {
      const stored = await storedByInstrument(rooms)
      const { instruments } = rooms.foreman.house.rules.foundry
      return { items: instruments.map((i) => nowOf(rooms, i, stored.get(i.id) ?? [])) }
    },
  )
  api.get(
    '/api/v1/instruments/:id',
    { schema: { tags, summary: 'One instrument', params: Id } },
    async ({ params: { id } }): Promise<InstrumentNow> => oneNow(rooms, id),
  )
  api.get(
    '/api/v1/instruments/:id/life',
    { schema: { tags, summary: 'Its checks, calibrations, doubts and hours', params: Id } },
    async ({ params: { id } }): Promise<InstrumentLife> => {
      const instrument = await oneNow(rooms, id)
      return {
        instrument,
        checks: [...rooms.foreman.ledger.checksOf(id)],
        calibrations: instrument.calibrations ?? [],
        doubts: await doubtsPast(rooms, instrument),
        ...rooms.foreman.examinationOf(id).life,
      }
    },
  )
  benchRoutes(api, rooms)
}

/** What people do with them. */
function benchRoutes(api: Api, { bench }: Rooms): void {
  api.post(
    '/api/v1/instruments/:id/checks',
    {
      schema: {
        tags,
        summary:
          'Hold its newest minute against melting ice, boiling water or another probe; recorded, but in a dry run',
        params: Id,
        body: z.strictObject({
          reference: z.enum(checkReferences),
          probe: Name.optional(),
          by: By,
          dryRun: z.boolean().default(false),
        }),
      },
    },
    async ({ params: { id }, body: { by, ...ask } }): Promise<CheckTried> => bench.check(id, ask, by),
  )

  const { points, found } = Calibration.shape
  api.post(
    '/api/v1/instruments/:id/calibrations',
    {
      schema: {
        tags,
        summary: 'Add a dated calibration; one of the past is an amendment',
        params: Id,
        body: z.strictObject({ points, found, note: Label.optional(), at: z.int().min(0).optional(), by: By }),
      },
    },
    async ({ params: { id }, body: { by, ...calibration } }, reply) => {
      const { revision, ...done } = await bench.calibrate(id, calibration, by)
      return reply.code(201).header('etag', `"${revision}"`).send(done)
    },
  )

  api.post(
    '/api/v1/instruments/:id/emissivity',
    {
      schema: {
        tags,
        summary: 'The emissivity of what an infrared instrument looks at, by a contact probe; set where asked',
        params: Id,
        body: z.strictObject({
          contact: Name,
          minutes: z.number().min(1).max(120).default(10),
          apply: z.boolean().default(false),
          by: By,
        }),
      },
    },
    async ({ params: { id }, body: { contact, minutes, apply } }, reply): Promise<EmissivityTried> => {
      const { tried, revision } = await bench.emissivity(id, { contact, minutes, apply })
      if (revision !== null) reply.header('etag', `"${revision}"`)
      return tried
    },
  )
}
