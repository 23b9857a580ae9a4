/** The HTTP server: builds, does not listen. Outside plugins first, then access, then one file a noun. */
import { existsSync } from 'node:fs'
import cookie from '@fastify/cookie'
import helmet from '@fastify/helmet'
import rateLimit from '@fastify/rate-limit'
import staticFiles from '@fastify/static'
import swagger from '@fastify/swagger'
import websocket from '@fastify/websocket'
import Fastify, { type FastifyInstance, type FastifyReply } from 'fastify'
import { jsonSchemaTransform, validatorCompiler, type ZodTypeProvider } from 'fastify-type-provider-zod'
import { bodyBytesMax, listenerFrameBytesMax, requestsPerMinuteMax } from '../../shared/contract/index.ts'
import { type AccessOptions, guard } from './access.ts'
import { notFound, tellFaults } from './faults.ts'
import { onClientError } from './patience.ts'
import type { Rooms } from './rooms.ts'
import { aboutRoutes } from './routes/about.ts'
import { alarmRoutes } from './routes/alarms.ts'
import { chartRoutes } from './routes/charts.ts'
import { exportRoutes } from './routes/exports.ts'
import { foundryRoutes } from './routes/foundry.ts'
import { healthRoutes } from './routes/health.ts'
import { instrumentRoutes } from './routes/instruments.ts'
import { keepingRoutes } from './routes/keeping.ts'
import { importRoutes } from './routes/imports.ts'
import { liveRoutes } from './routes/live.ts'
import { drynessRoutes } from './routes/dryness.ts'
import { nightRoutes } from './routes/nights.ts'
import { potRoutes } from './routes/pots.ts'
import { recipeRoutes } from './routes/recipes.ts'
import { runRoutes } from './routes/runs.ts'
import { seriesRoutes } from './routes/series.ts'
import { unclaimedRoutes } from './routes/unclaimed.ts'
import { unreadableRoutes } from './routes/unreadable.ts'

export type App = FastifyInstance

export interface ServerOptions extends AccessOptions {
  /** Folder of the built dashboard. */
  dashboard: string
}

/** A request may take this long to arrive whole. */
const requestTimeoutMs = 30_000

export async function buildServer(rooms: Rooms, options: ServerOptions): Promise<App> {
  const app = Fastify({
    bodyLimit: bodyBytesMax,
    requestTimeout: requestTimeoutMs,
    routerOptions: { maxParamLength: 200 },
    forceCloseConnections: true,
    clientErrorHandler: onClientError,
  })
  app.setValidatorCompiler(validatorCompiler)
  app.setSerializerCompiler(() => (data) => JSON.stringify(data))
  tellFaults(app, rooms.log)
  await outsidePlugins(app, rooms.version)
  guard(app, rooms.clock, options)

  const api = app.withTypeProvider<ZodTypeProvider>()
  healthRoutes(api, rooms)
  aboutRoutes(api, rooms)
  foundryRoutes(api, rooms)
  instrumentRoutes(api, rooms)
  nightRoutes(api, rooms)
  drynessRoutes(api, rooms)
  potRoutes(api, rooms)
  recipeRoutes(api, rooms)
  runRoutes(api, rooms)
  alarmRoutes(api, rooms)
  seriesRoutes(api, rooms)
  chartRoutes(api, rooms)
  exportRoutes(api, rooms)
  importRoutes(api, rooms)
  unclaimedRoutes(api, rooms)
  unreadableRoutes(api, rooms)
  keepingRoutes(api, rooms)
  liveRoutes(api, rooms)
  api.get('/api/v1/openapi.json', { schema: { hide: true } }, async () => app.swagger())
  await pages(app, options.dashboard)
  return app
}

async function outsidePlugins(app: App, version: string): Promise<void> {
  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", 'data:'],
        connectSrc: ["'self'"],
        objectSrc: ["'none'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    // A foundry's network often has no certificates; asking for HTTPS there would only lock people out.
    strictTransportSecurity: false,
  })
  await app.register(rateLimit, { max: requestsPerMinuteMax, timeWindow: 60_000 })
  await app.register(cookie)
  await app.register(websocket, { options: { maxPayload: listenerFrameBytesMax, perMessageDeflate: false } })
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Cirewatch',
        version,
        description:
          'Watches temperature and time in a lost-wax foundry. Celsius, percent, UTC. It watches and warns; it is no safety device.',
      },
    },
    transform: jsonSchemaTransform,
  })
}

/** Every address that is no file is a page of the dashboard; it finds its own way from there. */
async function pages(app: App, folder: string): Promise<void> {
  const built = existsSync(folder)
  if (built)
    await app.register(staticFiles, { root: folder, wildcard: false, cacheControl: false, setHeaders: cacheFor })
  app.setNotFoundHandler((request, reply) => {
    const page =
      request.method === 'GET' &&
      !request.url.startsWith('/api/') &&
      (request.headers.accept ?? '').includes('text/html')
    if (page && built) return reply.header('cache-control', 'no-cache').sendFile('index.html')
    notFound(reply)
  })
}

/** Built files carry the hash of what is in them; the page that names them does not. */
function cacheFor(reply: FastifyReply, path: string): void {
  reply.header('cache-control', path.includes('assets') ? 'public, max-age=31536000, immutable' : 'no-cache')
}
