/** Charts asked for as a page would: over one kept connection, timed from the request until the body is decoded. */
import { Agent, get } from 'node:http'
import { type ChartBody, type ChartRows, chartsMedia, decodeCharts } from '../../../shared/contract/index.ts'

export interface Window {
  from: number
  to: number
  width: number
}

export interface Answered {
  ms: number
  bytes: number
  charts: (ChartRows & { readings: number })[]
}

/** `number` is the compact form that the dashboard draws from; `json` is there for everybody else. */
export type Form = 'numbers' | 'json'

export class Asker {
  readonly #agent = new Agent({ keepAlive: true, maxSockets: 64 })
  readonly http: string

  constructor(http: string) {
    this.http = http
  }

  async charts(series: readonly string[], { from, to, width }: Window, form: Form = 'numbers'): Promise<Answered> {
    const names = series.map((name) => `series=${encodeURIComponent(name)}`).join('&')
    const begun = performance.now()
    const body = await this.#get(`/api/v1/charts?${names}&from=${from}&to=${to}&width=${width}`, form)
    const charts = form === 'numbers' ? fromNumbers(body) : fromJson(body)
    return { ms: performance.now() - begun, bytes: body.length, charts }
  }

  /** Any answer in JSON, timed until it is parsed. */
  async json<T>(path: string): Promise<{ ms: number; bytes: number; body: T }> {
    const begun = performance.now()
    const raw = await this.#get(path, 'json')
    const body = JSON.parse(raw.toString()) as T
    return { ms: performance.now() - begun, bytes: raw.length, body }
  }

  close(): void {
    this.#agent.destroy()
  }

  #get(path: string, form: Form): Promise<Buffer> {
    const headers = form === 'numbers' ? { accept: chartsMedia } : {}
    return new Promise((resolve, reject) => {
      get(this.http + path, { agent: this.#agent, headers }, (response) => {
        const pieces: Buffer[] = []
        response.on('data', (piece: Buffer) => pieces.push(piece))
        response.on('error', reject)
        response.on('end', () => {
          const body = Buffer.concat(pieces)
          if (response.statusCode === 200) resolve(body)
          else reject(new Error(`${path} was answered with ${response.statusCode}: ${body}`))
        })
      }).on('error', reject)
    })
  }
}

/** The numbers must lie where eight bytes may begin. */
function fromNumbers(body: Buffer): Answered['charts'] {
  const whole = new ArrayBuffer(body.length)
  new Uint8Array(whole).set(body)
  const { head, rows } = decodeCharts(whole)
  return rows.map((chart, i) => ({ ...chart, readings: head.charts[i]?.readings ?? 0 }))
}

function fromJson(body: Buffer): Answered['charts'] {
  const { items } = JSON.parse(body.toString()) as { items: ChartBody[] }
  return items.map(({ t, v, readings }) => ({
    t: Float64Array.from(t),
    v: Float64Array.from(v, (value) => value ?? Number.NaN),
    readings,
  }))
}
