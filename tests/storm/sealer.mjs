/** A built store in a process of its own that is going to be killed: appends, seals and opens again what is sealed, for ever. `node sealer.mjs FILE SEED FIRST` */
import { writeSync } from 'node:fs'
import { batchOf, nowOf } from './sealing-plan.mjs'

const [file = '', seed, first] = process.argv.slice(2)
/** Blocks sealed after each batch: fewer than fall due, so that there is always something left, also from before the last kill. */
const blocksMax = 6
// What was built is there only after building: it is looked for when it is needed, and no wall of the sources.
const built = new URL('../../build/gateway/store/sqlite/', import.meta.url)
const { openSqliteStore } = await import(new URL('sqlite.js', built).href)
const readerScript = new URL('reader-worker.js', built)

/** Told at once, for the next thing may be the end. @param {string} word @param {number} number */
const say = (word, number) => void writeSync(1, `${word} ${number}\n`)

// A store's readers keep nobody alive; the line from the parent does.
process.stdin.resume()

const store = await openSqliteStore(file, { readerScript })
for (let n = Number(first); ; n++) {
  say('append', n)
  await store.append(batchOf(Number(seed), n))
  say('safe', n)
  say('seal', n)
  const { blocks } = await store.seal(nowOf(n), blocksMax)
  say('sealed', blocks)
}
