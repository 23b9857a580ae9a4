/** Runs: started, marked, taken back, closed, and their record. */
import { z } from 'zod'
import {
  derivedQuantities,
  type Entry,
  Fault,
  qualities,
  RunDeclaration,
  RunStep,
  seriesId,
} from '../../../shared/contract/index.ts'
import { recordCsv } from '../../record/record-csv.ts'
import { runRecord } from '../../record/run-record.ts'
import type { RunEntry } from '../../foreman/ledger.ts'
import type { Rooms } from '../rooms.ts'
import { type Api, By } from './api.ts'

const tags = ['runs']
const Id = z.object({ id: z.string().max(200) })
/** Readings one record is folded from. Reason: a week of a kiln's six probes at 1 Hz. */
const recordReadingsMax = 4_000_000

function shown(rooms: Rooms, run: RunEntry) {
  const { acts: _acts, ...rest } = run
  return { ...rest, open: rooms.answer.open(run.id) }
}

export function runRoutes(api: Api, rooms: Rooms): void {
  const { answer } = rooms

  api.get(
    '/api/v1/runs',
    {
      schema: {
        tags,
        summary: 'Runs, newest first',
        querystring: z.object({
          station: z.string().optional(),
          limit: z.coerce.number().int().min(1).max(1_000).default(100),
        }),
      },
    },
    async ({ query }) => ({
      items: rooms.foreman.ledger
        .list()
        .filter((r) => query.station === undefined || r.declaration.station === query.station)
        .slice(0, query.limit)
        .map((r) => shown(rooms, r)),
    }),
  )

  api.post(
    '/api/v1/runs',
    {
      schema: {
        tags,
        summary: 'Start a run now, or declare one over a past period',
        body: RunDeclaration.extend({ by: By }),
      },
    },
    async ({ body: { by, ...declaration } }, reply) => {
      const run = await answer.startRun(declaration, by)
      return reply.code(201).send(shown(rooms, run))
    },
  )

  api.get('/api/v1/runs/:id', { schema: { tags, summary: 'One run', params: Id } }, async ({ params: { id } }) =>
    shown(rooms, answer.run(id)),
  )

  api.post(
    '/api/v1/runs/:id/steps',
    { schema: { tags, summary: 'Mark a step', params: Id, body: RunStep.extend({ by: By }) } },
    async ({ params: { id }, body: { by, ...step } }) => shown(rooms, await answer.step(id, step, by)),
  )
  api.post(
    '/api/v1/runs/:id/undo',
    {
      schema: {
        tags,
        summary: 'Take the last step back',
        params: Id,
        body: z.object({ by: By }).default({ by: 'somebody' }),
      },
    },
    async ({ params: { id }, body: { by } }) => shown(rooms, await answer.undo(id, by)),
  )
  api.post(
    '/api/v1/runs/:id/close',
    {
      schema: {
        tags,
        summary: 'Close the run, with the reason',
        params: Id,
        body: z.object({ by: By, reason: z.string().trim().min(1).max(200).default('done') }),
      },
    },
    async ({ params: { id }, body: { by, reason } }) => shown(rooms, await answer.close(id, reason, by)),
  )

  api.get(
    '/api/v1/runs/:id/record',
    { schema: { tags, summary: 'What happened, by measurement', params: Id } },
    async ({ params: { id } }) => {
      const { run, record } = await recorded(rooms, id)
      return {
        ...record,
        run: {
          ...record.run,
          ...(run.closed ? { closed: run.closed } : {}),
          declared: run.declaration.endedAt !== undefined,
        },
      }
    },
  )
  api.get(
    '/api/v1/runs/:id/record.csv',
    { schema: { tags, summary: 'Each stretch of each hold of a burnout, counted or refused', params: Id } },
    async ({ params: { id } }, reply) => {
      const { record } = await recorded(rooms, id)
      if (!record.holds) throw new Fault('not-valid', 'Only a burnout has a table of what was credited.')
      return reply.type('text/csv; charset=utf-8').send(recordCsv(record))
    },
  )
}

async function recorded(rooms: Rooms, id: string) {
  const run = rooms.answer.run(id)
  const record = await recordOf(rooms, run)
  if (!record)
    throw new Fault(
      'not-found',
      `The station "${run.declaration.station}" or the recipe of this run is gone from the foundry.`,
    )
  return { run, record }
}

async function recordOf(rooms: Rooms, run: RunEntry) {
  const { rules } = rooms.foreman.house
  const { station: home, pots = [] } = run.declaration
  if (!rules.stationOf.has(home)) return null
  const stations = [...new Set([home, ...pots])].flatMap((id) => rules.stations[rules.stationOf.get(id) ?? -1] ?? [])
  const from = run.startedAt
  const to = run.endedAt ?? rooms.clock.now()
  const entries: Entry[] = []
  for (const { series, quantity } of stations.flatMap((s) => s.series)) {
    // No judge asks for what only follows from others.
    if (derivedQuantities.has(quantity)) continue
    for await (const piece of rooms.store.scan(series, from, to)) {
      if (entries.length + piece.t.length > recordReadingsMax)
        throw new Fault(
          'too-large',
          `The record of this run would take more than ${recordReadingsMax} readings; ask for the readings of its series instead.`,
        )
      for (let i = 0; i < piece.t.length; i++)
        entries.push({
          kind: 'reading',
          seq: piece.seq[i] as number,
          at: piece.arrivedAt[i] as number,
          series,
          measuredAt: piece.t[i] as number,
          value: piece.v[i] as number,
          quality: qualities[piece.quality[i] as number] ?? 'bad',
        })
    }
  }
  const mine = new Set(stations.flatMap((s) => s.instruments.map((i) => i.id)))
  const within = (e: { instrument: string; at: number }) => mine.has(e.instrument) && e.at >= from && e.at <= to
  entries.push(
    ...(await rooms.store.newest('fault', 10_000)).filter(within),
    ...(await rooms.store.newest('presence', 10_000)).filter(within),
  )
  const silence = new Map(stations.flatMap((s) => s.series).map((s) => [s.series, s.silenceMs]))
  const material = {
    foundry: rules.foundry,
    revision: rules.revision,
    stations: stations.map((s) => s.station.id),
    acts: run.acts,
    entries,
    from,
    to,
  }
  return runRecord(material, (series) => silence.get(series) ?? silence.get(seriesId(series, 'temperature')) ?? 30_000)
}
