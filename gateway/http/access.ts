/** Who may: loopback is open to its own machine, the network needs the token, and a page of another origin may nothing. */
import { createHash, randomBytes, timingSafeEqual } from 'node:crypto'
import type { FastifyInstance, FastifyRequest } from 'fastify'
import { z } from 'zod'
import { Fault } from '../../shared/contract/index.ts'
import type { Clock, DurationMs } from '../../shared/time.ts'
import { isLoopback } from '../loopback.ts'

export interface AccessOptions {
  /** Bound to loopback only. */
  loopback: boolean
  token: string | undefined
}

const cookieName = 'cirewatch_session'
/** A board that was let in once stays in until the gateway restarts, or this long. */
const sessionSecondsMax = 30 * 24 * 3_600
const sessionsMax = 1_000

/** Wrong bearer tokens from one address in a minute; past it none is listened to, right or wrong, until the minute is over. */
const wrongTokensMax = 20
const wrongTokensMs = 60_000
/** Addresses remembered for that. */
const guessersMax = 10_000

const open = ['/healthz', '/readyz', '/api/v1/session', '/api/v1/about']

function same(a: string, b: string): boolean {
  const digest = (text: string) => createHash('sha256').update(text).digest()
  return timingSafeEqual(digest(a), digest(b))
}

function hostName(host: string): string {
  return host.replace(/:\d+$/, '').replace(/^\[|\]$/g, '')
}

/** A page may only speak to the gateway that served it. Scripts and instruments send no Origin. */
export function isForeign(request: FastifyRequest): boolean {
  const { origin } = request.headers
  if (origin === undefined) return false
  try {
    return new URL(origin).host !== request.headers.host
  } catch {
    return true
  }
}

/** On loopback a foreign name in `Host` is a page that had its name point here. */
function isRebound(request: FastifyRequest): boolean {
  const name = hostName(request.headers.host ?? '')
  return !isLoopback(name)
}

/** Who guessed wrong lately. Fastify's limiter counts only requests that were let in. */
class Guessers {
  readonly #clock: Clock
  readonly #wrong = new Map<string, { count: number; since: DurationMs }>()

  constructor(clock: Clock) {
    this.#clock = clock
  }

  /** In real milliseconds, whatever the pace of a demo. */
  #isOver(since: DurationMs): boolean {
    return this.#clock.elapsed() - since >= wrongTokensMs * Math.max(1, this.#clock.pace)
  }

  isTooMany(address: string): boolean {
    const wrong = this.#wrong.get(address)
    return wrong !== undefined && wrong.count >= wrongTokensMax && !this.#isOver(wrong.since)
  }

  count(address: string): void {
    const wrong = this.#wrong.get(address)
    if (wrong && !this.#isOver(wrong.since)) wrong.count++
    else {
      this.#wrong.delete(address)
      if (this.#wrong.size >= guessersMax) this.#wrong.delete(this.#wrong.keys().next().value ?? '')
      this.#wrong.set(address, { count: 1, since: this.#clock.elapsed() })
    }
  }
}

export function guard(app: FastifyInstance, clock: Clock, options: AccessOptions): void {
  const sessions = new Set<string>()
  const guessers = new Guessers(clock)

  const mayEnter = (request: FastifyRequest): boolean => {
    if (options.loopback) return true
    const session = request.cookies[cookieName]
    if (session !== undefined && sessions.has(session)) return true
    const bearer = /^Bearer (.+)$/.exec(request.headers.authorization ?? '')?.[1]
    if (bearer === undefined) return false
    if (guessers.isTooMany(request.ip))
      throw new Fault('too-many', 'Too many wrong tokens came from this address; wait a minute.')
    if (options.token !== undefined && same(bearer, options.token)) return true
    guessers.count(request.ip)
    return false
  }

  app.addHook('onRequest', async (request) => {
    if (isForeign(request) || (options.loopback && isRebound(request))) throw new Fault('foreign-origin')
    // The address of the route that was found, not the one that was asked for: `/%61pi/…` finds `/api/…` as well.
    const path = request.routeOptions.url ?? request.url.split('?')[0] ?? ''
    const needed = path.startsWith('/api/') || path === '/metrics'
    if (needed && !open.includes(path) && !mayEnter(request)) throw new Fault('token-needed')
  })

  app.post(
    '/api/v1/session',
    {
      schema: {
        body: z.object({ token: z.string().max(500) }),
        tags: ['access'],
        summary: 'Let a browser in with the token',
      },
      config: { rateLimit: { max: 20, timeWindow: 60_000 } },
    },
    async (request, reply) => {
      const { token } = request.body as { token: string }
      if (options.token === undefined || !same(token, options.token))
        throw new Fault('token-needed', 'This is not the token of this gateway.')
      const session = randomBytes(24).toString('base64url')
      if (sessions.size >= sessionsMax) sessions.delete(sessions.values().next().value ?? '')
      sessions.add(session)
      reply.setCookie(cookieName, session, { httpOnly: true, sameSite: 'strict', path: '/', maxAge: sessionSecondsMax })
      return { entered: true }
    },
  )
}
