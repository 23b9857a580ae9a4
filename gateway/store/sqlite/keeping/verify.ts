/** Re-reads a whole database in one read transaction, beside a running gateway if need be, and proves what it holds or says what is wrong. */
import { existsSync, statSync } from 'node:fs'
import Database from 'better-sqlite3'
import { inspect } from '../migrations.ts'
import { StoreRefusal } from '../../refusal.ts'
import { ArrivalProver } from './proof/arrival.ts'
import { Faults } from './proof/faults.ts'
import { fingerprintOfAll } from './proof/fingerprint.ts'
import { type JournalProof, proveJournal } from './proof/journal.ts'
import { SeqMap } from './proof/seq-map.ts'
import { type Common, SeriesProver } from './proof/series.ts'
import type { SeriesProof } from './proof/tally.ts'

/** What a proof looks at one after another. */
export type Stage = 'pages' | 'journal' | 'series' | 'arrival'

export interface Progress {
  stage: Stage
  /** Of `of`: series, or deliveries. */
  done: number
  of: number
  /** Readings proved so far. */
  readings: number
}

export interface VerifyOptions {
  /** Without them it is quicker by what SHA-256 costs; everything is looked at all the same. */
  fingerprints?: boolean
  progress?: (progress: Progress) => void
}

export interface Proof {
  file: string
  bytes: number
  /** Of the shape of the database. */
  version: number
  sound: boolean
  /** Sentences, up to a bound; `faults` counts all. */
  told: string[]
  faults: number
  readings: number
  /** Of those readings, how many lie in blocks. */
  sealed: number
  blocks: number
  series: SeriesProof[]
  journal: JournalProof
  /** The greatest seq ever given. */
  head: number
  /** Of everything; null where it was not asked for or a part cannot be read. */
  fingerprint: string | null
}

/** Deliveries between two words of progress. */
const deliveriesTold = 1_000

/** The version that brought blocks. */
const versionOfBlocks = 2
/** Since when each series has a tally of its own. */
const versionOfTallies = 3

/**
 * Memory stays bounded whatever the database holds: one block and one page of rows at a time, a bit for each seq (SeqMap says how much
 * that is), and some words for each series. Throws a StoreRefusal where the file cannot be looked at at all.
 */
export function verify(file: string, options: VerifyOptions = {}): Proof {
  const db = openToRead(file)
  try {
    // Never ended: a broken file may refuse even that, and closing the connection does it anyway.
    db.exec('BEGIN')
    return prove(db, file, options)
  } finally {
    db.close()
  }
}

/**
 * A log that a crash or a running gateway left may hold readings: then a read-only connection, which moves nothing. Without one it is the
 * other way round: a read-only connection would leave files behind that a writable one takes away again.
 */
export function openToRead(file: string): Database.Database {
  if (!existsSync(file)) throw new StoreRefusal(`There is no file ${file}.`)
  const hasLog = (statSync(`${file}-wal`, { throwIfNoEntry: false })?.size ?? 0) > 0
  let db: Database.Database | undefined
  try {
    db = new Database(file, { readonly: hasLog, fileMustExist: true })
    db.pragma('query_only = ON')
    inspect(db, file)
    return db
  } catch (error) {
    db?.close()
    if (error instanceof Database.SqliteError)
      throw new StoreRefusal(
        error.code === 'SQLITE_NOTADB'
          ? `The file ${file} is not a Cirewatch database.`
          : `The file ${file} cannot be read (${error.code}).`,
      )
    throw error
  }
}

function prove(db: Database.Database, file: string, options: VerifyOptions): Proof {
  const { fingerprints: withFingerprints = true, progress = () => {} } = options
  const faults = new Faults()
  const version = db.pragma('user_version', { simple: true }) as number
  const isSealed = version >= versionOfBlocks
  progress({ stage: 'pages', done: 0, of: 1, readings: 0 })
  faults.within('The pages of the file', () => checkPages(db, faults))

  progress({ stage: 'journal', done: 0, of: 1, readings: 0 })
  const seqs = new SeqMap()
  let retiredBefore = Number.NEGATIVE_INFINITY
  const journal = faults.within('The journal', () =>
    proveJournal(db, faults, seqs, (before) => {
      retiredBefore = Math.max(retiredBefore, before)
    }),
  ) ?? { entries: 0, fingerprint: '' }

  const heads = faults.within('The order of arrival', () => headsOf(db, isSealed))
  const { head, headSealed } = heads ?? { head: Number.MAX_SAFE_INTEGER, headSealed: Number.MAX_SAFE_INTEGER }
  const names = faults.within('The names of the series', () => namesOf(db)) ?? []
  const common: Common = {
    faults,
    seqs,
    head,
    headSealed,
    withFingerprints,
    claim: db
      .prepare<[number, number], number>('SELECT measured_at FROM claim WHERE series = ? AND claimed_at = ?')
      .pluck(),
    blockIds: new SeqMap(),
    met: { sheets: 0, blocks: 0, spans: 0 },
  }
  const series = proveSeries(db, common, isSealed, names, progress)
  const readings = sumOf(series, 'readings')
  const sealed = sumOf(series, 'sealed')

  const byId = new Map(names)
  const nameOf = (id: number) => byId.get(id) ?? `a series with the number ${id}`
  faults.within('The order of arrival', () => {
    const of = countOf(db, 'delivery')
    const prover = new ArrivalProver(db, { faults, nameOf, retiredBefore, isSealed, openRows: readings - sealed })
    prover.prove((done) => {
      if (done % deliveriesTold === 0) progress({ stage: 'arrival', done, of, readings })
    })
  })
  findLeftOvers(db, faults, common, isSealed, readings - sealed)
  if (isSealed) faults.within('The tally of the blocks', () => checkTally(db, faults, common.met.blocks, sealed))
  if (version >= versionOfTallies) faults.within('The tallies of the series', () => checkTallies(db, faults, series))
  return {
    file,
    bytes: statSync(file).size,
    version,
    sound: faults.count === 0,
    told: faults.told,
    faults: faults.count,
    readings,
    sealed,
    blocks: common.met.blocks,
    series,
    journal,
    head,
    fingerprint: wholeFingerprint(series, journal),
  }
}

function checkPages(db: Database.Database, faults: Faults): void {
  for (const { quick_check: found } of db.pragma('quick_check(20)') as { quick_check: string }[])
    if (found !== 'ok') faults.add(`A page of the file is damaged: ${found.replace(/\n/g, ' ')}.`)
}

function proveSeries(
  db: Database.Database,
  common: Common,
  isSealed: boolean,
  names: readonly [number, string][],
  progress: (progress: Progress) => void,
): SeriesProof[] {
  const prover = new SeriesProver(db, common, isSealed)
  let readings = 0
  return names.flatMap(([id, name], done) => {
    progress({ stage: 'series', done, of: names.length, readings })
    const proof = common.faults.within(`The series ${name}`, () => prover.prove(id, name))
    if (proof === null) return []
    readings += proof.readings
    return [proof]
  })
}

/** The greatest seq ever given, as far as it can be told from each of its traces. */
function headsOf(db: Database.Database, isSealed: boolean): { head: number; headSealed: number } {
  const number = (sql: string) => (db.prepare(sql).pluck().get() as number | null | undefined) ?? 0
  const headSealed = isSealed ? number('SELECT head FROM sealing') : 0
  const lastDelivery = number('SELECT max(first_seq) FROM delivery')
  // Notes of the same commit may lie between its readings.
  const inLast = number(`SELECT length(series) / 4 FROM delivery WHERE first_seq = ${lastDelivery}`)
  const besides = number(`SELECT count(*) FROM note WHERE seq > ${lastDelivery}`)
  const head = Math.max(
    headSealed,
    lastDelivery + inLast - 1 + besides,
    number('SELECT max(seq) FROM note'),
    number('SELECT max(newest_seq) FROM pruned'),
  )
  return { head, headSealed }
}

/** What lies in a table and was met nowhere on the way belongs to nothing. */
function findLeftOvers(
  db: Database.Database,
  faults: Faults,
  { met }: Common,
  isSealed: boolean,
  openRows: number,
): void {
  const more = (table: string, known: number, sentence: (n: number) => string) => {
    const surplus = (faults.within(`The table ${table}`, () => countOf(db, table)) ?? known) - known
    if (surplus > 0) faults.add(sentence(surplus))
  }
  more('reading', openRows, (n) => `${n} open rows belong to no series that has a name.`)
  if (!isSealed) return
  more('sheet', met.sheets, (n) => `${n} sheets belong to no series that has a name.`)
  more('block', met.blocks, (n) => `${n} blocks stand in no sheet: their readings are not found.`)
  more('seq_span', met.spans, (n) => `${n} entries of the index by arrival lead to no reading.`)
}

/** What is told without counting must be what is counted. */
function checkTally(db: Database.Database, faults: Faults, blocks: number, sealed: number): void {
  const tally = db.prepare<[], { blocks: number; readings: number }>('SELECT blocks, readings FROM sealing').get()
  if (tally?.blocks !== blocks || tally.readings !== sealed)
    faults.add(
      `The tally says ${tally?.blocks} blocks with ${tally?.readings} readings; ${blocks} with ${sealed} could be read.`,
    )
}

function namesOf(db: Database.Database): [number, string][] {
  return db.prepare('SELECT id, name FROM series ORDER BY id').raw().all() as [number, string][]
}

function countOf(db: Database.Database, table: string): number {
  return db.prepare(`SELECT count(*) FROM ${table}`).pluck().get() as number
}

function checkTallies(db: Database.Database, faults: Faults, series: readonly SeriesProof[]): void {
  const told = db.prepare<[string], number>('SELECT sealed FROM series WHERE name = ?').pluck()
  for (const { series: name, sealed } of series) {
    const tally = told.get(name)
    if (tally !== sealed) faults.add(`The tally of ${name} says ${tally} readings in blocks; ${sealed} could be read.`)
  }
}

function sumOf(series: readonly SeriesProof[], what: 'readings' | 'sealed'): number {
  return series.reduce((sum, one) => sum + one[what], 0)
}

function wholeFingerprint(series: readonly SeriesProof[], journal: JournalProof): string | null {
  const parts = series.flatMap(({ series: name, readings, fingerprint }) =>
    fingerprint === null ? [] : [{ name, readings, fingerprint }],
  )
  return parts.length === series.length ? fingerprintOfAll(parts, journal) : null
}
