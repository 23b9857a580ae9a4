/** The house that import and export speak to: a running gateway over HTTP, or, where none runs, the store itself. */
import { createReadStream, existsSync } from 'node:fs'
import { basename } from 'node:path'
import { createInterface } from 'node:readline'
import { Readable } from 'node:stream'
import type { ReadableStream } from 'node:stream/web'
import {
  type BringAnswer,
  type BringPlan,
  emptyFoundry,
  Fault,
  type Foundry,
  type Problem,
  seriesMax,
  splitSeriesId,
} from '../../shared/contract/index.ts'
import { rulesOf } from '../../shared/judge/index.ts'
import { bringIn, dryRun, importAct, type Job } from '../bring/bring.ts'
import { siteClock } from '../clock.ts'
import type { Config } from '../config.ts'
import { KnownSeries } from '../intake/entries.ts'
import { headOfLines, lateMsDefault, type LineForm, readingLines } from '../record/readings.ts'
import { StoreRefusal } from '../store/refusal.ts'
import { takeLock } from '../store/sqlite/lock.ts'
import { openSqliteStore } from '../store/sqlite/sqlite.ts'
import type { Store } from '../store/store.ts'
import { databaseIn } from './place.ts'

export interface BringAsk {
  file: string
  plan: BringPlan
  store: boolean
  by: string
}

export interface TakeAsk {
  series: readonly string[]
  from: number
  to: number
  form: LineForm
}

export interface House {
  foundry(): Promise<Foundry>
  bring(ask: BringAsk, hear: (answer: BringAnswer) => void): Promise<void>
  take(ask: TakeAsk): AsyncIterable<string | Uint8Array>
  close(): Promise<void>
}

function gatewayRuns(file: string): boolean {
  if (!existsSync(file)) return false
  try {
    takeLock(file).release()
    return false
  } catch (error) {
    if (error instanceof StoreRefusal) return true
    throw error
  }
}

export async function openHouse(config: Config): Promise<House> {
  const file = databaseIn(config.data)
  if (gatewayRuns(file)) return overHttp(config)
  return existsSync(file) ? inStore(await openSqliteStore(file)) : inStore(null, file)
}

/** Everywhere is reached here too. */
function addressOf({ http: { host, port } }: Config): string {
  const near = host === '0.0.0.0' ? '127.0.0.1' : host === '::' ? '::1' : host
  return `http://${near.includes(':') ? `[${near}]` : near}:${port}`
}

function overHttp(config: Config): House {
  const address = addressOf(config)
  const headers: Record<string, string> =
    config.bootstrapToken === undefined ? {} : { authorization: `Bearer ${config.bootstrapToken}` }
  const ask = async (path: string, init: RequestInit = {}): Promise<Response> => {
    const answer = await fetch(`${address}/api/v1${path}`, { ...init, headers: { ...headers, ...init.headers } }).catch(
      (error: unknown) => {
        throw new StoreRefusal(
          `A gateway is using the database ${databaseIn(config.data)}, but does not answer at ${address} (${whyOf(error)}); say with --http HOST:PORT where it listens.`,
        )
      },
    )
    if (answer.ok) return answer
    const problem = (await answer.json().catch(() => ({}))) as Partial<Problem>
    throw new StoreRefusal(problem.detail ?? problem.title ?? `The gateway answered with ${answer.status}.`)
  }
  return {
    foundry: async () => (await (await ask('/foundry')).json()) as Foundry,
    async bring({ file, plan, store, by }, hear) {
      const query = new URLSearchParams({ file: basename(file), plan: JSON.stringify(plan), ...(store ? { by } : {}) })
      const init = {
        method: 'POST',
        headers: { 'content-type': 'application/octet-stream' },
        body: Readable.toWeb(createReadStream(file)),
        // The file leaves while the answer comes.
        duplex: 'half',
      } as unknown as RequestInit
      const answer = await ask(`/imports${store ? '' : '/dry'}?${query}`, init)
      const lines = createInterface({
        input: Readable.fromWeb(answer.body as ReadableStream),
        crlfDelay: Number.POSITIVE_INFINITY,
      })
      for await (const line of lines) if (line !== '') hear(JSON.parse(line) as BringAnswer)
    },
    async *take({ series, from, to, form }) {
      const query = new URLSearchParams({ from: String(from), to: String(to), as: form })
      for (const one of series) query.append('series', one)
      yield* Readable.fromWeb((await ask(`/exports?${query}`)).body as ReadableStream) as AsyncIterable<Uint8Array>
    },
    close: async () => {},
  }
}

const whyOf = (error: unknown) =>
  error instanceof Error && error.cause instanceof Error ? error.cause.message : String(error)

/** `store` is null where there is no database yet: a dry run must not make one. */
function inStore(store: Store | null, file = ''): House {
  const clock = siteClock()
  const now = () => clock.now()
  let open = store
  const foundry = async () => (await open?.newest('foundry', 1))?.[0]?.foundry ?? emptyFoundry

  async function keep(job: Job, by: string): Promise<BringAnswer> {
    open ??= await openSqliteStore(file)
    const kept = open
    const known = (await kept.summaries()).flatMap(({ series }) => splitSeriesId(series) ?? [])
    const names = new KnownSeries(seriesMax, known)
    const keeping = { record: kept.append.bind(kept), admit: names.admit.bind(names) }
    const result = await bringIn(job, keeping, now)
    if (result.readings > 0) await kept.append([importAct(result, by, now())])
    return result
  }

  return {
    foundry,
    async bring({ file: path, plan, store: keepIt, by }, hear) {
      const job: Job = { plan, file: basename(path), bytes: createReadStream(path), now: now(), progress: hear }
      try {
        hear(
          keepIt
            ? await keep(job, by)
            : await dryRun(job, (series, from, to) => open?.scan(series, from, to) ?? nothing()),
        )
      } catch (error) {
        if (error instanceof Fault) throw new StoreRefusal(error.message)
        throw error
      }
    },
    async *take({ series, from, to, form }) {
      const { seriesAt, stations } = rulesOf(await foundry(), 0)
      yield headOfLines(form, true)
      for (const one of series) {
        const at = seriesAt.get(one)
        const lateMs = (at && stations[at.station]?.series[at.series]?.backlogMs) ?? lateMsDefault
        for await (const piece of open?.scan(one, from, to) ?? nothing())
          yield readingLines(piece, { series: one, lateMs }, form, true)
      }
    },
    close: async () => open?.close(),
  }
}

async function* nothing(): AsyncIterable<never> {
  // No database: no reading of before.
}
