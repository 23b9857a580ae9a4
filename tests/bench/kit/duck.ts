/** DuckDB as a reference: loaded in order of series and time, in its newest file format, with as many threads as it likes. */
import { statSync } from 'node:fs'
import { type DuckDBConnection, DuckDBInstance } from '@duckdb/node-api'
import type { Window } from './ask.ts'

const types = {
  series: 'USMALLINT',
  t: 'BIGINT',
  v: 'DOUBLE',
  quality: 'UTINYINT',
  arrived_at: 'BIGINT',
  seq: 'BIGINT',
  reason: 'TINYINT',
  claimed_at: 'BIGINT',
} as const
export type DuckColumn = keyof typeof types

export class Duck {
  readonly #connection: DuckDBConnection
  readonly #instance: DuckDBInstance
  readonly #file: string

  private constructor(instance: DuckDBInstance, connection: DuckDBConnection, file: string) {
    this.#instance = instance
    this.#connection = connection
    this.#file = file
  }

  static async open(file: string): Promise<Duck> {
    const instance = await DuckDBInstance.create(':memory:')
    const connection = await instance.connect()
    await connection.run(`ATTACH '${file}' AS bench (STORAGE_VERSION 'latest')`)
    await connection.run('USE bench')
    return new Duck(instance, connection, file)
  }

  /** From a table of the bench. */
  async load(table: string, columns: readonly DuckColumn[]): Promise<void> {
    const shape = columns.map((name) => `${name} ${types[name]}`).join(', ')
    const read = columns.map((name) => `'${name}': '${types[name]}'`).join(', ')
    await this.#connection.run(`CREATE TABLE reading (${shape})`)
    await this.#connection.run(
      `INSERT INTO reading SELECT * FROM read_csv('${table}', header = false, nullstr = '', columns = {${read}}) ORDER BY series, t`,
    )
    await this.#connection.run('CHECKPOINT')
  }

  get bytes(): number {
    return statSync(this.#file).size
  }

  /**
   * First, lowest, highest and last of each pixel column of each of these series with their times, as columns of numbers: series, pixel,
   * first t and v, lowest t and v, highest t and v, last t and v, readings. Timed until they are here.
   */
  async m4(series: readonly number[], { from, to, width }: Window): Promise<{ ms: number; rows: number[][] }> {
    const begun = performance.now()
    const which = series.length === 1 ? `series = ${series[0]}` : `series IN (${series.join(', ')})`
    const reader = await this.#connection.runAndReadAll(
      `SELECT series, floor((t - ${from})::DOUBLE / ${to - from} * ${width})::INTEGER AS pixel,
         min(t), arg_min(v, t), arg_min(t, v), min(v), arg_max(t, v), max(v), max(t), arg_max(v, t), count(*)
       FROM reading WHERE ${which} AND t >= ${from} AND t < ${to} GROUP BY series, pixel ORDER BY series, pixel`,
    )
    const rows = reader.getColumns().map((column) => column.map(Number))
    return { ms: performance.now() - begun, rows }
  }

  /**
   * Seen time and time in band of each of these series, ms, trapezoid by trapezoid without splitting at the crossing, gaps beyond
   * `silenceMs` unseen: what a window function can tell of a night. Timed until they are here.
   */
  async inBand(
    series: readonly number[],
    { from, to }: { from: number; to: number },
    band: { from: number; to: number },
    silenceMs: number,
  ): Promise<{ ms: number; rows: number[][] }> {
    const begun = performance.now()
    const reader = await this.#connection.runAndReadAll(
      `WITH step AS (
         SELECT series, v, lead(t) OVER same - t AS ms, (v + lead(v) OVER same) / 2 AS middle
         FROM reading WHERE series IN (${series.join(', ')}) AND t >= ${from} AND t < ${to} WINDOW same AS (PARTITION BY series ORDER BY t))
       SELECT series, sum(ms), sum(CASE WHEN middle BETWEEN ${band.from} AND ${band.to} THEN ms ELSE 0 END), min(v), max(v), sum(middle * ms) / sum(ms)
       FROM step WHERE ms <= ${silenceMs} GROUP BY series ORDER BY series`,
    )
    const rows = reader.getColumns().map((column) => column.map(Number))
    return { ms: performance.now() - begun, rows }
  }

  close(): void {
    this.#connection.closeSync()
    this.#instance.closeSync()
  }
}
