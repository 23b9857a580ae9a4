/** `export`: all readings of some series over a span, as a stream to a file or to the next program. */
import { createWriteStream } from 'node:fs'
import { pipeline } from 'node:stream/promises'
import { splitSeriesId } from '../../shared/contract/index.ts'
import { bytesWords } from '../../shared/words/index.ts'
import { siteClock } from '../clock.ts'
import { readConfig } from '../config.ts'
import { lineForms } from '../record/readings.ts'
import { openHouse } from './house.ts'
import { settings } from './import.ts'
import { exitDone, tell, UsageRefusal, type Verb } from './verb.ts'
import { readWords } from './words.ts'

export const exportVerb: Verb = {
  name: 'export',
  words: '--series ID … [--from TIME] [--to TIME] [--as csv|jsonl] [--out FILE] [--data DIR] [--http HOST:PORT]',
  does: 'writes all readings of these series, beside a running gateway too',
  async run(words) {
    const { values } = readWords(exportVerb, words, {
      data: { type: 'string' },
      config: { type: 'string' },
      http: { type: 'string' },
      series: { type: 'string', multiple: true },
      from: { type: 'string' },
      to: { type: 'string' },
      as: { type: 'string', default: 'csv' },
      out: { type: 'string' },
    })
    const { series = [] } = values
    if (series.length === 0)
      throw new UsageRefusal(`export needs at least one --series. It is written: export ${exportVerb.words}`)
    for (const one of series)
      if (!splitSeriesId(one)) throw new UsageRefusal(`"${one}" is no series; one looks like w1-mid.temperature.`)
    const form = lineForms.find((f) => f === values.as)
    if (!form) throw new UsageRefusal(`--as must be ${lineForms.join(' or ')}; it is "${values.as}".`)
    const from = instantOf(values.from, 'from') ?? 0
    const to = instantOf(values.to, 'to') ?? siteClock().now() + 1
    if (to <= from) throw new UsageRefusal('An export needs --from before --to.')
    const house = await openHouse(readConfig(settings(values), process.env))
    try {
      const told = new Told()
      const target = values.out === undefined ? process.stdout : createWriteStream(values.out, { flags: 'wx' })
      await pipeline(told.through(house.take({ series, from, to, form })), target, { end: values.out !== undefined })
      tell(`${told.readings(form === 'csv')} readings of ${series.length} series, ${bytesWords(told.bytes)}.`)
      return exitDone
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === 'EEXIST')
        throw new UsageRefusal(`There is a file ${values.out} already; choose another name.`)
      throw error
    } finally {
      await house.close()
    }
  },
}

function instantOf(text: string | undefined, flag: string): number | undefined {
  if (text === undefined) return undefined
  const at = /^\d{9,}$/.test(text) ? Number(text) : /T.*(Z|[+-]\d\d:?\d\d)$/.test(text) ? Date.parse(text) : Number.NaN
  if (!Number.isFinite(at))
    throw new UsageRefusal(`--${flag} must be an instant such as 2026-03-01T00:00:00Z; it is "${text}".`)
  return at
}

const newLine = 10

/** Counts what goes by, and says so for every 16 MB. */
class Told {
  bytes = 0
  #lines = 0
  #toldBytes = 0

  async *through(source: AsyncIterable<string | Uint8Array>): AsyncIterable<Uint8Array> {
    for await (const piece of source) {
      const bytes = typeof piece === 'string' ? Buffer.from(piece) : piece
      this.bytes += bytes.length
      for (const byte of bytes) if (byte === newLine) this.#lines++
      if (this.bytes - this.#toldBytes >= 16_000_000) {
        this.#toldBytes = this.bytes
        tell(`${bytesWords(this.bytes)} written …`)
      }
      yield bytes
    }
  }

  readings(hasHead: boolean): number {
    return Math.max(0, this.#lines - (hasHead ? 1 : 0))
  }
}
