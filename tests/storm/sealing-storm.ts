/** Kills a sealing store again and again, then asks whether all is there that was called safe: once, in order, and in blocks that are sound. */
import { spawn } from 'node:child_process'
import { createHash } from 'node:crypto'
import { once } from 'node:events'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { verify } from '../../gateway/store/sqlite/keeping/verify.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { type Chance, chance } from '../../simulators/random.ts'
import { pause } from '../helpers/patience.ts'
import { tempFolder } from '../helpers/temp-folder.ts'
import { journalOf } from './checkers.ts'
import { batchOf, names } from './sealing-plan.mjs'

const script = fileURLToPath(new URL('./sealer.mjs', import.meta.url))
/** A life lasts so long after its first sealing at the most; one in four is counted from its first word, and may end before. */
const lifeMsMax = 100
const shortLives = 0.25
/** The whole file is also read again after each so many kills. */
const killsBetweenProofs = 20

export interface SealingStorm {
  /** Kills that fell between the beginning and the end of a sealing, and of an append. */
  inSealing: number
  inAppend: number
  blocks: number
  acknowledged: number
  /** Sentences about what is not as it was called safe. */
  complaints: string[]
  told: string
}

/** Runs one child until it is killed at a moment that chance chooses; what it said, line by line. */
async function life(file: string, seed: number, first: number, random: Chance): Promise<[string, number][]> {
  const child = spawn(process.execPath, [script, file, `${seed}`, `${first}`], { stdio: 'pipe' })
  let [said, complaint] = ['', '']
  child.stderr.on('data', (bytes) => {
    complaint += bytes
  })
  const waitFor = random.next() < shortLives ? 'append' : 'sealed'
  const closed = once(child, 'close')
  const begun = new Promise<void>((resolve) => {
    child.stdout.on('data', (bytes) => {
      said += bytes
      if (said.includes(waitFor)) resolve()
    })
  })
  await Promise.race([begun, closed])
  await pause(random.next() * lifeMsMax)
  child.kill('SIGKILL')
  const [code, signal] = (await closed) as [number | null, string | null]
  if (signal !== 'SIGKILL') throw new Error(`The sealer ended by itself with ${code}: ${complaint}`)
  return said
    .split('\n')
    .slice(0, -1)
    .map((line) => {
      const [word = '', number] = line.split(' ')
      return [word, Number(number)]
    })
}

export async function sealingStorm(kills: number, seed: number): Promise<SealingStorm> {
  const file = join(await tempFolder(), 'foundry.db')
  const random = chance(seed, 'sealing')
  const storm = { inSealing: 0, inAppend: 0, blocks: 0, acknowledged: 0, complaints: [] as string[], told: '' }
  let safe = -1
  for (let kill = 1; kill <= kills; kill++) {
    const words = await life(file, seed, safe + 1, random)
    for (const [word, number] of words) {
      if (word === 'safe') safe = number
      if (word === 'sealed') storm.blocks += number
    }
    const last = words.at(-1)?.[0]
    if (last === 'seal') storm.inSealing++
    if (last === 'append') storm.inAppend++
    if (kill % killsBetweenProofs === 0) storm.complaints.push(...verify(file, { fingerprints: false }).told)
  }
  const found = await compare(file, seed, safe)
  storm.complaints.push(...found.complaints)
  storm.acknowledged = found.readings
  storm.told = `seed ${seed}: ${kills} kills, ${storm.inSealing} while sealing, ${storm.inAppend} while appending; ${found.told}`
  return storm
}

/** Readings of all batches up to `last`, as they must stand in the journal: each where it first came. */
function expected(seed: number, last: number): string[] {
  const lines = new Set<string>()
  const seen = new Set<string>()
  for (let n = 0; n <= last; n++)
    for (const { series, measuredAt, value, at } of batchOf(seed, n)) {
      const key = `${series}@${measuredAt}`
      if (!seen.has(key)) lines.add(`${key} = ${value}, arrived ${at}`)
      seen.add(key)
    }
  return [...lines]
}

const sumOf = (lines: readonly string[]) => createHash('sha256').update(lines.join('\n')).digest('hex').slice(0, 16)

async function compare(file: string, seed: number, safe: number) {
  const complaints: string[] = []
  const store = await openSqliteStore(file)
  const stock = await store.stock()
  const journal = await journalOf(store)
  const found = journal.flatMap((entry) =>
    entry.kind === 'reading' ? [`${entry.series}@${entry.measuredAt} = ${entry.value}, arrived ${entry.at}`] : [],
  )
  // The last batch may have reached the disk without a word about it: then whole.
  const [sum, sums] = [sumOf(found), [safe, safe + 1].map((last) => sumOf(expected(seed, last)))]
  if (!sums.includes(sum))
    complaints.push(`The journal's checksum is ${sum}; what was acknowledged has ${sums.join(' or ')}.`)
  if (new Set(found).size !== found.length) complaints.push('A reading is there twice.')
  if (journal.some(({ seq }, i) => i > 0 && seq <= (journal[i - 1]?.seq ?? 0)))
    complaints.push('The journal does not rise.')
  for (const series of names) {
    const times: number[] = []
    for await (const piece of store.scan(series, Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY))
      times.push(...piece.t)
    const own = found.filter((line) => line.startsWith(`${series}@`)).length
    if (times.length !== own || new Set(times).size !== own)
      complaints.push(`${series} shows ${times.length} readings, of ${own}.`)
    if ((await store.readingsOf(series)) !== own) complaints.push(`${series} does not count ${own} readings.`)
  }
  await store.close()
  const proof = verify(file)
  complaints.push(...proof.told)
  if (proof.readings !== found.length || proof.sealed !== stock.sealedReadings)
    complaints.push(
      `The proof counts ${proof.readings} readings, ${proof.sealed} of them sealed; the store ${found.length} and ${stock.sealedReadings}.`,
    )
  const told = `${found.length} readings acknowledged and found, ${proof.sealed} of them in ${proof.blocks} blocks, checksum ${sum}`
  return { complaints, told, readings: found.length }
}
