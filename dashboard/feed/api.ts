/** Questions and acts over HTTP; whatever goes wrong comes back as one sentence for a person. */
import {
  type Calibration,
  type ChartBody,
  type ChartRows,
  type ChartsHead,
  type CheckReference,
  type CheckTried,
  chartsMedia,
  decodeCharts,
  type EmissivityTried,
  type Finding,
  type Foundry,
  type InstrumentLife,
  type HoldLedger,
  type InstrumentNow,
  type KeepingBody,
  type Mapping,
  type DipBoard,
  type NightReview,
  type NightsBody,
  type NumberUnit,
  type Place,
  type Problem,
  type Run,
  type RunDeclaration,
  type RunKind,
  type RunStep,
  type StationKind,
  type SumsBody,
  type SumsBy,
  type ThermocoupleType,
  type UnclaimedBody,
  type Unreadable,
} from '../../shared/contract/index.ts'

/** A run as the gateway lists it, and the record of one. */
export interface RunBody {
  id: string
  declaration: RunDeclaration
  startedBy: string
  startedAt: number
  endedAt: number | null
  closed: { at: number; by: string; reason: string } | null
  steps: { step: RunStep; at: number; by: string }[]
}
export interface RunRecordBody {
  run: Run
  from: number
  to: number
  findings: Finding[]
  holds?: HoldLedger[]
  coverage: { series: string; readings: number; seenMs: number; holes: { from: number; to: number }[] }[]
}

export class Refusal extends Error {
  readonly code: string
  constructor(code: string, sentence: string) {
    super(sentence)
    this.name = 'Refusal'
    this.code = code
  }
}

export function sentenceOf(error: unknown): string {
  return error instanceof Error ? error.message : 'Something went wrong on this page.'
}

function problemSentence(problem: Partial<Problem>, status: number): string {
  const first = problem.errors?.[0]?.sentence
  return first ?? problem.detail ?? problem.title ?? `The gateway answered with ${status}.`
}

const patienceMs = 20_000

/** An answer that is not wanted any more is neither waited for nor a trouble. */
function patience(signal?: AbortSignal): AbortSignal {
  const timeout = AbortSignal.timeout(patienceMs)
  return signal ? AbortSignal.any([signal, timeout]) : timeout
}

async function refused(answer: Response): Promise<never> {
  const problem = (parsed(await answer.text()) ?? {}) as Partial<Problem>
  throw new Refusal(problem.code ?? String(answer.status), problemSentence(problem, answer.status))
}

async function askBytes(path: string, accept: string, signal: AbortSignal): Promise<ArrayBuffer> {
  const init: RequestInit = { cache: 'no-store', signal: patience(signal), headers: { accept } }
  const answer = await fetch(`/api/v1${path}`, init).catch((error: unknown) => {
    throw signal.aborted ? error : new Refusal('no-answer', 'The gateway does not answer.')
  })
  return answer.ok ? await answer.arrayBuffer() : await refused(answer)
}

async function ask<T>(
  method: 'GET' | 'POST' | 'PUT',
  path: string,
  body?: unknown,
  signal?: AbortSignal,
  headers?: Record<string, string>,
): Promise<T> {
  const init: RequestInit = { method, cache: 'no-store', signal: patience(signal) }
  if (body !== undefined) {
    init.headers = { 'content-type': 'application/json', ...headers }
    init.body = JSON.stringify(body)
  }
  const answer = await fetch(`/api/v1${path}`, init).catch(() => {
    throw new Refusal('no-answer', 'The gateway does not answer. Nothing was changed.')
  })
  return answer.ok ? (parsed(await answer.text()) as T) : await refused(answer)
}

function parsed(text: string): unknown {
  try {
    return text === '' ? null : JSON.parse(text)
  } catch {
    return null
  }
}

export interface About {
  version: string
  mqtt: {
    address: string
    host: string | null
    port: number | null
    /** Only programs on the gateway's own machine get through to it. */
    loopback: boolean
    connected: boolean
    secured: boolean
  }
}

export interface Claim {
  kind: string
  station?: string
  newStation?: { id: string; name: string; kind: StationKind }
  name: string
  position?: string
  intervalS?: number
  place?: Place
  /** Of a number that came without one. */
  unit?: NumberUnit
  thermocouple?: ThermocoupleType
}

export interface CheckWish {
  reference: CheckReference
  probe?: string
  /** Only what it would find; nothing is written down. */
  dryRun?: true
  by?: string
}

export type CalibrationWish = Pick<Calibration, 'points'> & Partial<Pick<Calibration, 'found' | 'note' | 'at' | 'by'>>

export interface EmissivityWish {
  contact: string
  minutes?: number
  apply?: true
  by?: string
}

/** One series that ever spoke. */
export interface SpokenSeries {
  series: string
  unit: string
  /** Epoch ms of its first reading. */
  first: number
  newest: { measuredAt: number; value: number }
}

/** What is needed of a run to find it again and lay it over another. */
export interface PastRun {
  id: string
  declaration: { kind: RunKind; station: string; recipe: string; piece?: string }
  startedAt: number
  endedAt: number | null
}

export interface SumsWish {
  from: number
  to: number
  by: SumsBy
  band?: { low?: number; high?: number }
}

const part = encodeURIComponent

export const api = {
  /** Asks for something that needs the token, where one is needed at all. */
  mayEnter: () => ask<unknown>('GET', '/alarms'),
  about: () => ask<About>('GET', '/about'),
  session: (token: string) => ask<unknown>('POST', '/session', { token }),
  chart: (series: string, from: number, to: number, width: number) =>
    ask<ChartBody>(
      'GET',
      `/series/${part(series)}/chart?from=${Math.round(from)}&to=${Math.round(to)}&width=${Math.round(width)}`,
    ),
  /** Many series at once, as numbers. */
  charts: async (
    series: readonly string[],
    from: number,
    to: number,
    width: number,
    signal: AbortSignal,
  ): Promise<{ head: ChartsHead; rows: ChartRows[] }> => {
    const named = series.map((s) => `series=${part(s)}`).join('&')
    return decodeCharts(await askBytes(`/charts?${named}&from=${from}&to=${to}&width=${width}`, chartsMedia, signal))
  },
  sums: (series: string, { from, to, by, band }: SumsWish, signal: AbortSignal) => {
    const edges = Object.entries(band ?? {}).map(([edge, value]) => `&${edge}=${value}`)
    const span = `from=${Math.round(from)}&to=${Math.round(to)}&by=${by}${edges.join('')}`
    return ask<SumsBody>('GET', `/series/${part(series)}/sums?${span}`, undefined, signal)
  },
  series: () => ask<{ items: SpokenSeries[] }>('GET', '/series'),
  runs: (station: string) => ask<{ items: PastRun[] }>('GET', `/runs?station=${part(station)}&limit=200`),
  findings: (limit: number, station?: string) =>
    ask<{ items: Finding[] }>('GET', `/findings?limit=${limit}${station ? `&station=${part(station)}` : ''}`),
  unreadable: (limit: number) => ask<{ total: number; items: Unreadable[] }>('GET', `/unreadable?limit=${limit}`),
  keeping: () => ask<KeepingBody>('GET', '/keeping'),
  backUpNow: () => ask<KeepingBody>('POST', '/backups'),
  unclaimed: () => ask<UnclaimedBody>('GET', '/unclaimed'),
  claim: (instrument: string, claim: Claim) => ask<unknown>('POST', `/unclaimed/${part(instrument)}/claim`, claim),
  adopt: (mapping: Mapping) => ask<unknown>('POST', '/mappings', { mapping }),
  /** The whole set-up, in place of that revision and of no other. */
  setUp: (foundry: Foundry, revision: number) =>
    ask<unknown>('PUT', '/foundry', foundry, undefined, { 'if-match': `"${revision}"` }),
  stirred: (station: string, by: string) => ask<unknown>('POST', `/pots/${part(station)}/stirred`, { by }),
  newWax: (station: string, by: string) => ask<unknown>('POST', `/pots/${part(station)}/new-wax`, { by }),
  writeRecipe: (recipe: unknown) => ask<unknown>('POST', '/recipes', recipe),
  instruments: () => ask<{ items: InstrumentNow[] }>('GET', '/instruments'),
  life: (instrument: string) => ask<InstrumentLife>('GET', `/instruments/${part(instrument)}/life`),
  check: (instrument: string, wish: CheckWish) =>
    ask<CheckTried>('POST', `/instruments/${part(instrument)}/checks`, wish),
  calibrate: (instrument: string, wish: CalibrationWish) =>
    ask<unknown>('POST', `/instruments/${part(instrument)}/calibrations`, wish),
  emissivity: (instrument: string, wish: EmissivityWish) =>
    ask<EmissivityTried>('POST', `/instruments/${part(instrument)}/emissivity`, wish),
  acknowledge: (alarm: string, by: string) => ask<unknown>('POST', `/alarms/${part(alarm)}/acknowledge`, { by }),
  startRun: (declaration: RunDeclaration & { by: string }) => ask<unknown>('POST', '/runs', declaration),
  markCoat: (run: string, coat: string, by: string) =>
    ask<unknown>('POST', `/runs/${part(run)}/steps`, { step: 'coat', coat, by }),
  step: (run: string, step: RunStep, by: string) => ask<unknown>('POST', `/runs/${part(run)}/steps`, { ...step, by }),
  dipBoard: (signal: AbortSignal) => ask<DipBoard>('GET', '/dip-board', undefined, signal),
  night: (date: string, signal: AbortSignal) => ask<NightReview>('GET', `/nights/${part(date)}`, undefined, signal),
  nights: (from: number, to: number, signal: AbortSignal) =>
    ask<NightsBody>('GET', `/nights?from=${Math.round(from)}&to=${Math.round(to)}`, undefined, signal),
  record: (run: string) => ask<RunRecordBody>('GET', `/runs/${part(run)}/record`),
  runsOf: (station: string, limit: number) =>
    ask<{ items: RunBody[] }>('GET', `/runs?station=${part(station)}&limit=${limit}`),
  undo: (run: string, by: string) => ask<unknown>('POST', `/runs/${part(run)}/undo`, { by }),
  closeRun: (run: string, reason: string, by: string) =>
    ask<unknown>('POST', `/runs/${part(run)}/close`, { reason, by }),
}
