/** A reader in a thread of its own: opens the database to read only, and answers one job after another. */
import { parentPort, workerData } from 'node:worker_threads'
import Database from 'better-sqlite3'
import { BlockDamaged } from '../sealed/damage.ts'
import { Answerer, GivenUp } from './jobs.ts'
import type { Asked, Begun, Told } from './readers.ts'

/** Memory for pages, kB. Reason: sheets and blocks are read once and then not again for a while. */
const cacheKb = 3_000

const { file, givenUp } = workerData as Begun
const db = new Database(file, { readonly: true, fileMustExist: true })
db.pragma(`cache_size = -${cacheKb}`)
const answerer = new Answerer(db)
try {
  answerer.warm()
} catch {
  // What is damaged is told to whoever asks for it.
}

function told({ id, place, job }: Asked): Told {
  try {
    return { id, answer: answerer.answer(job, () => Atomics.load(givenUp, place) === 1) }
  } catch (error) {
    if (error instanceof GivenUp) return { id, answer: null }
    const damagedAt = error instanceof BlockDamaged ? error.where : null
    return { id, trouble: error instanceof Error ? error.message : String(error), damagedAt }
  }
}

parentPort?.on('message', (asked: Asked[]) => {
  const answers = asked.map(told)
  parentPort?.postMessage(answers, answers.flatMap(transferable))
})

/** Big arrays change hands instead of being copied. */
function transferable(answer: Told): ArrayBuffer[] {
  if (!('answer' in answer)) return []
  const buffers: ArrayBuffer[] = []
  const collect = (value: unknown) => {
    if (ArrayBuffer.isView(value)) {
      if (value.buffer instanceof ArrayBuffer && value.byteLength === value.buffer.byteLength)
        buffers.push(value.buffer)
    } else if (Array.isArray(value)) value.forEach(collect)
    else if (typeof value === 'object' && value !== null) Object.values(value).forEach(collect)
  }
  collect(answer.answer)
  return buffers
}
