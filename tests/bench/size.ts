/** How much of the disk a reading takes: sealed by our store as it goes, and as rows or columns of others that hold the same. */
import { statSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { disks } from './kit/disks.ts'
import { Duck, type DuckColumn } from './kit/duck.ts'
import { type Manner, mannerTold, seed, usual } from './kit/noisy.ts'
import { verdict } from './kit/percentiles.ts'
import { Postgres, postgresVersion } from './kit/postgres.ts'
import { allColumns, chartColumns, writeTable } from './kit/table.ts'
import { type Arrivals, arrivalsOf, entriesOf, rowsOf } from './kit/week.ts'

const seriesCount = 8
const days = process.argv.includes('--quick') ? 1 : 7
const day = 86_400_000
const hour = 3_600_000
const from = 1_760_000_000_000 - (1_760_000_000_000 % day)
const each = (days * day) / 1_000
const batchRows = 1_000
const limits = { chart: 2.5, replay: 4 }

const [disk] = disks()
if (disk === undefined) throw new Error('There is nowhere to write.')
try {
  const usualOurs = await measure(usual)
  await references(arrivalsOf(seriesCount, from, each, usual))
  console.log(`  ${verdict(usualOurs.chart, limits.chart, 'B a reading for time and value')}`)
  console.log(`  ${verdict(usualOurs.replay, limits.replay, 'B a reading with all that a replay needs')}`)
  for (const jitterMs of [20, 100]) await measure({ ...usual, jitterMs })
} finally {
  disk.clear()
}

async function measure(manner: Manner): Promise<{ chart: number; replay: number }> {
  const arrivals = arrivalsOf(seriesCount, from, each, manner)
  console.log(
    `\nsize: ${arrivals.count.toLocaleString('en-GB')} readings of ${seriesCount} series over ${days} days, seed ${seed}, invented`,
  )
  console.log(`  ${mannerTold(manner)}, the seqs of all series interleaved; in bytes a reading`)
  const file = join(disk?.folder() ?? '', 'cirewatch.db')
  await fill(file, arrivals)
  return tellOurs(file, arrivals.count)
}

/** Hour by hour, sealed as it goes: what lies in the file is what lies there after months of it. */
async function fill(file: string, arrivals: Arrivals): Promise<void> {
  const store = await openSqliteStore(file)
  let sealedUpTo = from
  const sealUpTo = async (now: number) => {
    while ((await store.seal(now, 64)).blocks > 0);
    sealedUpTo = now
  }
  for (let i = 0; i < arrivals.count; i += batchRows) {
    const entries = entriesOf(arrivals, i, Math.min(arrivals.count, i + batchRows))
    const now = entries.at(-1)?.at ?? 0
    if (now - sealedUpTo > hour) await sealUpTo(now)
    const fates = await store.append(entries)
    if (fates.some(({ is }) => is !== 'stored')) throw new Error('A reading of the bench was not stored.')
  }
  await sealUpTo(from + days * day + 2 * hour)
  const { openReadings, sealedReadings } = await store.stock()
  if (openReadings !== 0 || sealedReadings !== arrivals.count)
    throw new Error(`${openReadings} readings were not sealed and ${sealedReadings} were, of ${arrivals.count}.`)
  await store.close()
}

function tellOurs(file: string, count: number): { chart: number; replay: number } {
  const db = new Database(file, { readonly: true })
  const number = (sql: string) => db.prepare<[], number>(sql).pluck().get() ?? Number.NaN
  const [course, arrival] = [
    number('SELECT sum(length(course)) FROM block'),
    number('SELECT sum(length(arrival)) FROM block'),
  ]
  const sheets = number('SELECT sum(length(headers)) FROM sheet')
  const pages = number("SELECT sum(pgsize) FROM dbstat WHERE name IN ('block', 'sheet', 'seq_span')")
  const free =
    (db.pragma('freelist_count', { simple: true }) as number) * (db.pragma('page_size', { simple: true }) as number)
  db.close()
  const whole = statSync(file).size
  const per = (bytes: number) => bytes / count
  line('ours, time and value, with headers', per(course + sheets))
  line('ours, all that a replay needs', per(course + sheets + arrival))
  line('ours, the same as it lies in pages', per(pages))
  line(`ours, the whole file (${(per(free)).toFixed(2)} of it free, where the tail was)`, per(whole))
  return { chart: per(course + sheets), replay: per(pages) }
}

async function references(arrivals: Arrivals): Promise<void> {
  const folder = disk?.folder() ?? ''
  const { count } = arrivals
  for (const [what, columns] of [
    ['time and value', chartColumns],
    ['all columns', allColumns],
  ] as const) {
    const table = join(folder, 'readings.csv')
    writeTable(table, linesOf(arrivals, columns))
    for (const form of ['WITHOUT ROWID', 'rowid and unique index'] as const)
      line(`SQLite rows, ${form}, ${what}`, sqliteBytes(join(folder, 'rows.db'), arrivals, columns, form) / count)
    const duck = await Duck.open(join(folder, `${columns.length}.duckdb`))
    await duck.load(table, columns)
    line(`DuckDB's file, ${what}`, duck.bytes / count)
    duck.close()
  }
  await tellPostgres(folder, count)
}

function* linesOf(arrivals: Arrivals, columns: readonly DuckColumn[]): Generator<string> {
  for (const row of rowsOf(arrivals)) yield row.slice(0, columns.length).join(',')
}

function sqliteBytes(file: string, arrivals: Arrivals, columns: readonly string[], form: string): number {
  const db = new Database(file)
  db.pragma('synchronous = OFF')
  db.exec('DROP TABLE IF EXISTS reading')
  const shape = columns.map((name) => `${name} ${name === 'v' ? 'REAL' : 'INTEGER'}`).join(', ')
  if (form === 'WITHOUT ROWID')
    db.exec(`CREATE TABLE reading (${shape}, PRIMARY KEY (series, t)) STRICT, WITHOUT ROWID`)
  else db.exec(`CREATE TABLE reading (${shape}, UNIQUE (series, t)) STRICT`)
  const insert = db.prepare(`INSERT INTO reading VALUES (${columns.map(() => '?').join(', ')})`)
  db.transaction(() => {
    for (const row of rowsOf(arrivals)) insert.run(row.slice(0, columns.length))
  })()
  const bytes = db.prepare<[], number>("SELECT sum(pgsize) FROM dbstat WHERE name <> 'sqlite_schema'").pluck().get()
  db.close()
  return bytes ?? Number.NaN
}

async function tellPostgres(folder: string, count: number): Promise<void> {
  if (postgresVersion() === null) return console.log('  PostgreSQL is not on this machine.')
  const postgres = await Postgres.start(folder)
  await postgres.query(
    'CREATE TABLE reading (series smallint, t bigint, v double precision, quality smallint, arrived_at bigint, seq bigint, reason smallint, claimed_at bigint)',
  )
  await postgres.query(`COPY reading FROM '${join(folder, 'readings.csv')}' (FORMAT csv)`)
  await postgres.query('ALTER TABLE reading ADD PRIMARY KEY (series, t)')
  const [[bytes] = []] = await postgres.query("SELECT pg_total_relation_size('reading')")
  line('PostgreSQL, table and key, all columns', Number(bytes) / count)
  await postgres.end()
}

function line(name: string, bytesEach: number): void {
  console.log(`  ${name.padEnd(66)} ${bytesEach.toFixed(2).padStart(7)}`)
}
