/** PostgreSQL as a reference, where the machine has it: a cluster of its own in the bench's folder, spoken to over its socket. */
import { type ChildProcess, execFileSync, spawn } from 'node:child_process'
import { once } from 'node:events'
import { chmodSync, chownSync, existsSync, mkdirSync } from 'node:fs'
import { connect, type Socket } from 'node:net'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import type { Window } from './ask.ts'

const places = ['/usr/local/bin', '/usr/bin', '/usr/lib/postgresql/17/bin', '/usr/lib/postgresql/15/bin']
const port = 5_432

/** Its version in words; null where the machine has none. */
export function postgresVersion(): string | null {
  const program = programOf('postgres')
  return program === null || programOf('initdb') === null
    ? null
    : execFileSync(program, ['--version']).toString().trim()
}

function programOf(name: string): string | null {
  return places.map((place) => join(place, name)).find(existsSync) ?? null
}

/** It refuses to run as root: then it is given a user that may do nothing else. */
function otherUser(): { uid: number; gid: number } | undefined {
  if (process.getuid?.() !== 0) return undefined
  const [uid, gid] = ['-u', '-g'].map((flag) => Number(execFileSync('id', [flag, 'nobody'])))
  return { uid: uid as number, gid: gid as number }
}

export class Postgres {
  readonly #server: ChildProcess
  readonly #socket: Socket
  #heard = Buffer.alloc(0)

  private constructor(server: ChildProcess, socket: Socket) {
    this.#server = server
    this.#socket = socket
  }

  static async start(folder: string): Promise<Postgres> {
    const data = join(folder, 'postgres')
    const user = otherUser()
    chmodSync(folder, 0o755)
    mkdirSync(data)
    if (user) chownSync(data, user.uid, user.gid)
    const how = { stdio: 'ignore' as const, cwd: data, ...user }
    const cluster = join(data, 'cluster')
    execFileSync(programOf('initdb') ?? '', ['-D', cluster, '-U', 'bench', '-A', 'trust', '--no-sync'], how)
    const settings = {
      listen_addresses: '',
      unix_socket_directories: data,
      shared_buffers: '1GB',
      max_wal_size: '8GB',
      jit: 'off',
    }
    const flags = Object.entries(settings).flatMap(([name, value]) => ['-c', `${name}=${value}`])
    const server = spawn(programOf('postgres') ?? '', ['-D', cluster, ...flags], how)
    const path = join(data, `.s.PGSQL.${port}`)
    for (let tries = 0; !existsSync(path); tries++) {
      if (tries > 100) throw new Error('PostgreSQL did not come up.')
      await pause(100)
    }
    const socket = connect(path)
    await once(socket, 'connect')
    const started = new Postgres(server, socket)
    await started.#greet()
    return started
  }

  /** Rows as text, of a statement that may take long. */
  async query(sql: string): Promise<string[][]> {
    this.#socket.write(message('Q', Buffer.from(`${sql}\0`)))
    const rows: string[][] = []
    for (;;) {
      const { kind, body } = await this.#next()
      if (kind === 'D') rows.push(fieldsOf(body))
      if (kind === 'E') throw new Error(`PostgreSQL said: ${body.toString().replaceAll('\0', ' ')}`)
      if (kind === 'Z') return rows
    }
  }

  /** A table of the bench with the three columns of a chart. */
  async load(table: string): Promise<void> {
    await this.query('CREATE TABLE reading (series smallint, t bigint, v double precision)')
    await this.query(`COPY reading FROM '${table}' (FORMAT csv)`)
    await this.query('ALTER TABLE reading ADD PRIMARY KEY (series, t)')
    await this.query('VACUUM ANALYZE reading')
  }

  /** First, lowest, highest and last of each pixel column with their times. Timed until they are here. */
  async m4(series: readonly number[], { from, to, width }: Window): Promise<number> {
    const begun = performance.now()
    await this.query(
      `SELECT series, floor((t - ${from})::float8 / ${to - from} * ${width})::int AS pixel, count(*),
         min(ARRAY[t, v]), min(ARRAY[v, t]), max(ARRAY[v, -t]), max(ARRAY[t, v])
       FROM reading WHERE series IN (${series.join(', ')}) AND t >= ${from} AND t < ${to} GROUP BY series, pixel ORDER BY series, pixel`,
    )
    return performance.now() - begun
  }

  async end(): Promise<void> {
    this.#socket.destroy()
    this.#server.kill('SIGINT')
    await once(this.#server, 'exit')
  }

  async #greet(): Promise<void> {
    const words = Buffer.from('user\0bench\0database\0postgres\0\0')
    const head = Buffer.alloc(8)
    head.writeInt32BE(8 + words.length, 0)
    // Version 3.0 of its protocol (PostgreSQL manual, "Message Formats").
    head.writeInt32BE(196_608, 4)
    this.#socket.write(Buffer.concat([head, words]))
    while ((await this.#next()).kind !== 'Z');
  }

  async #next(): Promise<{ kind: string; body: Buffer }> {
    for (;;) {
      const length = this.#heard.length < 5 ? Number.POSITIVE_INFINITY : 1 + this.#heard.readInt32BE(1)
      if (this.#heard.length >= length) {
        const [kind, body] = [String.fromCharCode(this.#heard[0] as number), this.#heard.subarray(5, length)]
        this.#heard = this.#heard.subarray(length)
        return { kind, body }
      }
      const [piece] = (await once(this.#socket, 'data')) as [Buffer]
      this.#heard = Buffer.concat([this.#heard, piece])
    }
  }
}

function message(kind: string, body: Buffer): Buffer {
  const head = Buffer.alloc(5)
  head.write(kind, 'latin1')
  head.writeInt32BE(4 + body.length, 1)
  return Buffer.concat([head, body])
}

function fieldsOf(body: Buffer): string[] {
  const fields: string[] = []
  for (let at = 2, i = 0; i < body.readInt16BE(0); i++) {
    const length = body.readInt32BE(at)
    at += 4
    fields.push(length < 0 ? '' : body.toString('utf8', at, at + length))
    at += Math.max(0, length)
  }
  return fields
}
