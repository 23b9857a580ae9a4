/** Questions and acts over HTTP; whatever goes wrong comes back as one sentence for a person. */
import type {
  ChartBody,
  Finding,
  Problem,
  RunDeclaration,
  StationKind,
  Unclaimed,
  Unreadable,
} from '../../shared/contract/index.ts'

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

async function ask<T>(method: 'GET' | 'POST', path: string, body?: unknown): Promise<T> {
  const init: RequestInit = { method, cache: 'no-store', signal: AbortSignal.timeout(20_000) }
  if (body !== undefined) {
    init.headers = { 'content-type': 'application/json' }
    init.body = JSON.stringify(body)
  }
  const answer = await fetch(`/api/v1${path}`, init).catch(() => {
    throw new Refusal('no-answer', 'The gateway does not answer. Nothing was changed.')
  })
  const text = await answer.text()
  const json: unknown = parsed(text)
  if (answer.ok) return json as T
  const problem = (json ?? {}) as Partial<Problem>
  throw new Refusal(problem.code ?? String(answer.status), problemSentence(problem, answer.status))
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
  findings: (limit: number, station?: string) =>
    ask<{ items: Finding[] }>('GET', `/findings?limit=${limit}${station ? `&station=${part(station)}` : ''}`),
  unreadable: (limit: number) => ask<{ total: number; items: Unreadable[] }>('GET', `/unreadable?limit=${limit}`),
  unclaimed: () => ask<{ items: Unclaimed[] }>('GET', '/unclaimed'),
  claim: (instrument: string, claim: Claim) => ask<unknown>('POST', `/unclaimed/${part(instrument)}/claim`, claim),
  acknowledge: (alarm: string, by: string) => ask<unknown>('POST', `/alarms/${part(alarm)}/acknowledge`, { by }),
  startRun: (declaration: RunDeclaration & { by: string }) => ask<unknown>('POST', '/runs', declaration),
  markCoat: (run: string, coat: string, by: string) =>
    ask<unknown>('POST', `/runs/${part(run)}/steps`, { step: 'coat', coat, by }),
  undo: (run: string, by: string) => ask<unknown>('POST', `/runs/${part(run)}/undo`, { by }),
  closeRun: (run: string, reason: string, by: string) =>
    ask<unknown>('POST', `/runs/${part(run)}/close`, { reason, by }),
}
