/** Alive, ready, and measured. */
import { collectDefaultMetrics, Counter, Gauge, Registry } from 'prom-client'
import type { Rooms } from '../rooms.ts'
import type { Api } from './api.ts'

/** Why the gateway is not ready, one sentence each; empty when it is. */
export function reasonsNotReady(rooms: Rooms): string[] {
  const reasons: string[] = []
  if (!rooms.recovered()) reasons.push('It is still reading what it stored.')
  const { trouble } = rooms.intake()
  if (trouble) reasons.push(trouble)
  const inlet = rooms.inlet()
  if (!inlet.connected) reasons.push(`Instruments cannot reach it by ${inlet.address}. ${inlet.trouble ?? ''}`.trim())
  if (!rooms.knowsTime()) reasons.push('Its clock is earlier than its build: it does not know the time.')
  return reasons
}

export function healthRoutes(api: Api, rooms: Rooms): void {
  api.get('/healthz', { schema: { tags: ['health'], summary: 'Alive' } }, async () => ({ alive: true }))

  api.get('/readyz', { schema: { tags: ['health'], summary: 'Ready, or why not' } }, async (_request, reply) => {
    const reasons = reasonsNotReady(rooms)
    return reply.code(reasons.length === 0 ? 200 : 503).send({ ready: reasons.length === 0, reasons })
  })

  const registry = measure(rooms)
  api.get('/metrics', { schema: { tags: ['health'], summary: 'Prometheus text' } }, async (_request, reply) =>
    reply
      .type(registry.contentType)
      .serializer(String)
      .send(await registry.metrics()),
  )
}

function measure(rooms: Rooms): Registry {
  const registry = new Registry()
  collectDefaultMetrics({ register: registry })
  const registers = [registry]
  const gauge = (name: string, help: string, value: () => number) =>
    new Gauge({
      name,
      help,
      registers,
      collect() {
        this.set(value())
      },
    })
  const counter = (name: string, help: string, value: () => number) =>
    new Counter({
      name,
      help,
      registers,
      collect() {
        this.reset()
        this.inc(value())
      },
    })
  counter('cirewatch_entries_committed_total', 'Journal entries on disk since start', () => rooms.intake().committed)
  counter('cirewatch_duplicates_total', 'Readings that were already on disk', () => rooms.intake().duplicates)
  counter('cirewatch_unreadable_total', 'Messages that could not be read, ever', () => rooms.foreman.unreadable)
  gauge('cirewatch_waiting', 'Messages that wait for the group commit', () => rooms.intake().waiting)
  gauge('cirewatch_listeners', 'Open live connections', () => rooms.hub.listeners)
  gauge('cirewatch_unclaimed', 'Instruments that publish and nobody has claimed', () => rooms.foreman.strangers.size)
  gauge('cirewatch_alarms', 'Alarms that are not normal', () => rooms.foreman.alarms().length)
  counter('cirewatch_sealed_blocks_total', 'Blocks sealed since start', () => rooms.upkeep.sealedBlocks)
  counter('cirewatch_backups_failed_total', 'Backups that failed since start', () => rooms.upkeep.failedBackups)
  new Gauge({
    name: 'cirewatch_backup_newest_timestamp_seconds',
    help: 'When the newest verified backup was made; 0 where there is none',
    registers,
    async collect() {
      this.set(((await rooms.upkeep.newestBackupAt()) ?? 0) / 1_000)
    },
  })
  gauge('cirewatch_seq', 'Newest journal entry', () => rooms.store.head())
  return registry
}
