/** The reference of the intake bench: the bare embedded broker with the same group commit, and nothing else. It reads no payload. */
import { createServer } from 'node:net'
import { Aedes } from 'aedes'
import { openSqliteStore } from '../../../gateway/store/sqlite/sqlite.ts'
import type { NewEntry } from '../../../shared/contract/index.ts'

const store = await openSqliteStore(process.argv[2] ?? '')
const aedes = new Aedes({ queueLimit: 2_000, concurrency: 500 })
await aedes.listen()

const nextAt = new Map<string, number>()
let waiting: { entry: NewEntry; done: () => void }[] = []
let committing = false

async function commit(): Promise<void> {
  while (waiting.length > 0) {
    const batch = waiting
    waiting = []
    await store.append(batch.map((w) => w.entry))
    for (const { done } of batch) done()
  }
  committing = false
}

aedes.authorizePublish = (_client, packet, callback) => {
  const measuredAt = (nextAt.get(packet.topic) ?? 1_600_000_000_000) + 1
  nextAt.set(packet.topic, measuredAt)
  const entry: NewEntry = {
    at: measuredAt,
    kind: 'reading',
    series: packet.topic,
    measuredAt,
    value: 90,
    quality: 'good',
  }
  waiting.push({ entry, done: () => callback(null) })
  if (committing) return
  committing = true
  setImmediate(() => void commit())
}

const server = createServer({ noDelay: true }, (socket) => void aedes.handle(socket))
server.listen(0, '127.0.0.1', () => {
  const address = server.address()
  process.send?.({ ready: { mqtt: `mqtt://127.0.0.1:${typeof address === 'object' ? address?.port : 0}` } })
})
