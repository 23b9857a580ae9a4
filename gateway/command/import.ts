/** `import`: a logger's table, tried first and kept only when asked to. */
import { closeSync, openSync, readFileSync, readSync } from 'node:fs'
import { basename } from 'node:path'
import {
  type BringAnswer,
  BringPlan,
  type BringResult,
  bringDelimiters,
  bringEncodings,
  bringLookBytesMax,
  dateOrders,
  explain,
} from '../../shared/contract/index.ts'
import { bringAlsoSays, bringSays, bringSeriesSays, bytesWords, speechOf } from '../../shared/words/index.ts'
import { questionSentence } from '../bring/bring.ts'
import { type Guessed, guess } from '../bring/look.ts'
import { siteClock } from '../clock.ts'
import { readConfig } from '../config.ts'
import { corrected, type Corrections } from './corrections.ts'
import { type House, openHouse } from './house.ts'
import { exitDamaged, exitDone, say, tell, UsageRefusal, type Verb } from './verb.ts'
import { readWords } from './words.ts'

const flags = {
  data: { type: 'string' },
  config: { type: 'string' },
  http: { type: 'string' },
  plan: { type: 'string' },
  encoding: { type: 'string' },
  delimiter: { type: 'string' },
  decimal: { type: 'string' },
  'date-order': { type: 'string' },
  zone: { type: 'string' },
  column: { type: 'string', multiple: true },
  by: { type: 'string' },
  store: { type: 'boolean' },
  json: { type: 'boolean' },
} as const

export const importVerb: Verb = {
  name: 'import',
  words:
    'FILE [--store] [--delimiter X] [--decimal X] [--date-order dmy] [--zone ZONE] [--column NAME=SERIES:UNIT] [--plan FILE] [--json] [--data DIR] [--http HOST:PORT]',
  does: 'reads a table of a logger and says what would come of it; with --store it is kept',
  async run(words) {
    const { values, positionals } = readWords(importVerb, words, flags)
    const [file, ...others] = positionals
    if (file === undefined || others.length > 0)
      throw new UsageRefusal(`import needs one FILE. It is written: import ${importVerb.words}`)
    const sample = beginningOf(file)
    const house = await openHouse(readConfig(settings(values), process.env))
    try {
      const plan = await planFor(file, sample, house, values)
      if (values.store === true && plan.ask.length > 0) throw new UsageRefusal(questionSentence(plan))
      const result = await bring(house, { file, plan, store: values.store === true, by: values.by ?? 'command line' })
      return await tellResult(result, house, { plan, json: values.json === true })
    } finally {
      await house.close()
    }
  },
}

/** The words that are settings of the gateway. */
export function settings(values: { data?: string; config?: string; http?: string }): string[] {
  return (['data', 'config', 'http'] as const).flatMap((key) =>
    values[key] === undefined ? [] : [`--${key}`, values[key]],
  )
}

function beginningOf(file: string): Uint8Array {
  try {
    const handle = openSync(file, 'r')
    const sample = Buffer.alloc(bringLookBytesMax)
    const length = readSync(handle, sample, 0, bringLookBytesMax, 0)
    closeSync(handle)
    return sample.subarray(0, length)
  } catch {
    throw new UsageRefusal(`There is no readable file ${file}.`)
  }
}

type Values = Corrections & { plan?: string; encoding?: string; delimiter?: string }

function oneOf<T extends string>(value: string | undefined, known: readonly T[], flag: string): T | undefined {
  const plain = value === '\\t' || value === 'tab' ? '\t' : value
  const found = known.find((k) => k === plain)
  if (value !== undefined && found === undefined)
    throw new UsageRefusal(
      `--${flag} must be one of ${known.map((k) => (k === '\t' ? 'tab' : k)).join('  ')}; it is "${value}".`,
    )
  return found
}

async function planFor(file: string, sample: Uint8Array, house: House, values: Values): Promise<BringPlan> {
  if (values.plan !== undefined) return planIn(values.plan)
  const foundry = await house.foundry()
  const guessed = guess({
    sample,
    file: basename(file),
    siteZone: foundry.site.timeZone,
    now: siteClock().now(),
    known: foundry.instruments,
    encoding: oneOf(values.encoding, bringEncodings, 'encoding'),
    delimiter: oneOf(values.delimiter, bringDelimiters, 'delimiter'),
  })
  if (!guessed)
    throw new UsageRefusal(`No column of ${file} holds a date and time that can be read; is it the table of a logger?`)
  tellGuess(guessed)
  oneOf(values['date-order'], dateOrders, 'date-order')
  return checked(corrected(guessed, values), 'The plan')
}

function tellGuess({ guesses }: Guessed): void {
  const signs = { sure: ' ', likely: '~', ask: '?' }
  for (const { sure, sentence } of guesses) tell(`${signs[sure]} ${sentence}`)
}

function planIn(path: string): BringPlan {
  try {
    return checked(JSON.parse(readFileSync(path, 'utf8')), `The plan in ${path}`)
  } catch (error) {
    if (error instanceof UsageRefusal) throw error
    throw new UsageRefusal(`There is no plan to read in ${path}.`)
  }
}

function checked(json: unknown, what: string): BringPlan {
  const parsed = BringPlan.safeParse(json)
  if (parsed.success) return parsed.data
  throw new UsageRefusal(explain(parsed.error, json, what)[0]?.sentence ?? `${what} is not valid.`)
}

async function bring(house: House, ask: Parameters<House['bring']>[0]): Promise<BringResult> {
  let last: BringAnswer | null = null
  let toldBytes = 0
  await house.bring(ask, (answer) => {
    last = answer
    // A line for every 16 MB.
    if (answer.is !== 'progress' || answer.bytes - toldBytes < 16_000_000) return
    toldBytes = answer.bytes
    tell(`${bytesWords(answer.bytes)} read, ${answer.readings} readings …`)
  })
  const answer = last as BringAnswer | null
  if (answer?.is === 'fault') throw new UsageRefusal(answer.detail)
  if (answer?.is !== 'result')
    throw new UsageRefusal(
      'The gateway ended the answer before the result; import again, what is kept is not kept twice.',
    )
  return answer
}

async function tellResult(
  result: BringResult,
  house: House,
  { plan, json }: { plan: BringPlan; json: boolean },
): Promise<number> {
  const failed = result.stopped !== null
  if (json) {
    say(JSON.stringify({ ...result, plan }, null, 2))
    return failed ? exitDamaged : exitDone
  }
  const speech = speechOf(await house.foundry())
  say(bringSays(result))
  for (const sentence of bringAlsoSays(result)) say(`  ${sentence}`)
  for (const series of result.series) say(`  ${series.series}: ${bringSeriesSays(series, siteClock().now(), speech)}`)
  for (const { line, reason } of [
    ...result.unreadable.first,
    ...result.conflicts,
    ...result.clock.missing.first,
    ...result.clock.twice.first,
  ])
    say(`  line ${line}: ${reason}`)
  if (!result.stored && result.readings > 0)
    say(
      plan.ask.length > 0
        ? 'Nothing is kept. Answer what is marked with ? first.'
        : 'Nothing is kept yet. With --store it is.',
    )
  return failed ? exitDamaged : exitDone
}
