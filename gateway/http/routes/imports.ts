/** Imports: a logger's table looked at, tried, and kept; the file streams through, whatever its size. */
import { Readable } from 'node:stream'
import type { FastifyReply, FastifyRequest } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { z } from 'zod'
import {
  type BringAnswer,
  type BringLook,
  BringPlan,
  bringDelimiters,
  bringEncodings,
  bringLookBytesMax,
  bringsAtOnceMax,
  explain,
  Fault,
} from '../../../shared/contract/index.ts'
import { bringIn, dryRun, importAct, type Job, questionSentence } from '../../bring/bring.ts'
import { guess } from '../../bring/look.ts'
import { preview } from '../../bring/preview.ts'
import { understood } from '../../bring/table.ts'
import { problemOf } from '../faults.ts'
import { bePatientWith, noMorePatience } from '../patience.ts'
import type { Rooms } from '../rooms.ts'
import { type Api, By } from './api.ts'

const tags = ['import']
const File = z.string().trim().min(1).max(200).default('table')
const Plan = z.string().max(16_000)
const body = z.unknown().describe('The table, raw')

function planFrom(text: string): BringPlan {
  let json: unknown
  try {
    json = JSON.parse(text)
  } catch {
    throw new Fault('bad-request', 'The plan in the address is not JSON.')
  }
  const parsed = BringPlan.safeParse(json)
  if (parsed.success) return parsed.data
  const complaints = explain(parsed.error, json, 'The plan')
  throw new Fault('not-valid', complaints[0]?.sentence, complaints)
}

const streamOf = (request: FastifyRequest) => request.body as AsyncIterable<Uint8Array>

/** The beginning of what is sent; the rest is left alone. */
async function beginning(bytes: AsyncIterable<Uint8Array>): Promise<Uint8Array> {
  const pieces: Uint8Array[] = []
  let length = 0
  for await (const piece of bytes) {
    pieces.push(piece)
    length += piece.byteLength
    if (length >= bringLookBytesMax) break
  }
  return Buffer.concat(pieces).subarray(0, bringLookBytesMax)
}

/** Progress beyond this waits for nobody: whoever does not read it misses some of it, never the result. */
const unreadBytesMax = 64 * 1024

/** Runs a job and answers in JSON lines: progress, then a result or a fault. It is called off when the one who asked goes away. */
function answerWith(
  log: Rooms['log'],
  request: FastifyRequest,
  reply: FastifyReply,
  run: (job: Pick<Job, 'signal' | 'progress'>) => Promise<BringAnswer>,
): FastifyReply {
  const out = new Readable({ read() {} })
  const say = (line: BringAnswer) => void out.push(`${JSON.stringify(line)}\n`)
  const gone = new AbortController()
  reply.raw.once('close', () => gone.abort('Whoever sent the file went away before its end.'))
  bePatientWith(request)
  const progress: NonNullable<Job['progress']> = (line) => {
    if (out.readableLength < unreadBytesMax) say(line)
  }
  const told = run({ signal: gone.signal, progress }).catch((error: unknown): BringAnswer => {
    if (!(error instanceof Fault)) log.error({ err: error }, 'an import failed inside the gateway')
    const { status, code, title, detail = title } = problemOf(error instanceof Fault ? error : new Fault('internal'))
    return { is: 'fault', status, code, title, detail }
  })
  void told.then((line) => {
    say(line)
    out.push(null)
    noMorePatience(request)
    // Where it was not read to its end, the rest is let past, so that the answer can be heard.
    request.raw.resume()
  })
  return reply.type('application/jsonl; charset=utf-8').send(out)
}

export function importRoutes(root: Api, rooms: Rooms): void {
  let running = 0
  const oneMore = async <T>(work: () => Promise<T>): Promise<T> => {
    running++
    try {
      return await work()
    } finally {
      running--
    }
  }
  const mayRun = () => {
    if (running >= bringsAtOnceMax)
      throw new Fault('too-many', `${bringsAtOnceMax} tables are being read already; wait until one of them is done.`)
    if (!rooms.knowsTime())
      throw new Fault(
        'not-valid',
        'This gateway does not know what time it is, and cannot tell the past from the future; set its clock first.',
      )
  }
  const siteZone = () => rooms.foreman.house.rules.foundry.site.timeZone
  const now = () => rooms.clock.now()

  // In a room of its own: here every body is a file, whatever its type says.
  void root.register(async (plain) => {
    plain.removeAllContentTypeParsers()
    plain.addContentTypeParser('*', (_request, payload, done) => done(null, payload))
    const api = plain.withTypeProvider<ZodTypeProvider>()

    api.post(
      '/api/v1/imports/look',
      {
        schema: {
          tags,
          summary:
            'Looks at the beginning of a table and proposes how to read it; with a plan, shows what it makes of it',
          querystring: z.object({
            file: File,
            plan: Plan.optional(),
            encoding: z.enum(bringEncodings).optional(),
            delimiter: z.enum(bringDelimiters).optional(),
          }),
          body,
        },
      },
      async (request): Promise<BringLook> => {
        const { file, plan, encoding, delimiter } = request.query
        const sample = await beginning(streamOf(request))
        if (plan !== undefined) {
          const asked = planFrom(plan)
          return { plan: asked, guesses: [], ...understood(sample, asked), lines: await preview(sample, asked, now()) }
        }
        const known = rooms.foreman.house.rules.foundry.instruments
        const guessed = guess({ sample, file, siteZone: siteZone(), now: now(), known, encoding, delimiter })
        if (!guessed)
          throw new Fault(
            'not-valid',
            'No column of this file holds a date and time that can be read; is it the table of a logger?',
          )
        return { ...guessed, lines: await preview(sample, guessed.plan, now()) }
      },
    )

    api.post(
      '/api/v1/imports/dry',
      {
        schema: {
          tags,
          summary:
            'Reads a whole table by a plan and says what would come of it; stores nothing. JSON lines: progress, then the result',
          querystring: z.object({ file: File, plan: Plan }),
          body,
        },
      },
      async (request, reply) => {
        const plan = planFrom(request.query.plan)
        mayRun()
        const scan = rooms.store.scan.bind(rooms.store)
        const { file } = request.query
        return answerWith(rooms.log, request, reply, (job) =>
          oneMore(() => dryRun({ ...job, plan, file, bytes: streamOf(request), now: now() }, scan)),
        )
      },
    )

    api.post(
      '/api/v1/imports',
      {
        schema: {
          tags,
          summary:
            'Keeps the readings of a table; what is stored already is not stored again. JSON lines: progress, then the result',
          querystring: z.object({ file: File, plan: Plan, by: By }),
          body,
        },
      },
      async (request, reply) => {
        const { file, by } = request.query
        const plan = planFrom(request.query.plan)
        if (plan.ask.length > 0) throw new Fault('not-valid', questionSentence(plan))
        mayRun()
        return answerWith(rooms.log, request, reply, (job) =>
          oneMore(async () => {
            const result = await bringIn({ ...job, plan, file, bytes: streamOf(request), now: now() }, rooms, now)
            if (result.readings > 0) await rooms.record([importAct(result, by, now())])
            return result
          }),
        )
      },
    )
  })
}
