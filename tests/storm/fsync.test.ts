/** What the system really did between a publish and its PUBACK: kill -9 tests no power cut, but the order of the calls does. */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import mqtt from 'mqtt'
import { describe, expect, it } from 'vitest'
import { startChild } from '../helpers/gateway-child.ts'
import { programOf, without } from '../helpers/outside.ts'
import { pause, until } from '../helpers/patience.ts'
import { tempFolder } from '../helpers/temp-folder.ts'

const calls = 'trace=read,pwrite64,write,writev,sendto,sendmsg,fsync,fdatasync'

const escapes: Record<string, string> = { n: '\n', t: '\t', r: '\r', v: '\v', f: '\f' }

/** The bytes in the quotes of one traced call: of a `writev` all its pieces. Written as in C, and with `-x` what is no plain text as \xNN. */
function bytesOf(line: string): Buffer {
  const quoted = [...line.matchAll(/"((?:[^"\\]|\\.)*)"/g)].map((match) => match[1] ?? '').join('')
  const bytes = [...quoted.matchAll(/\\x([0-9a-f]{2})|\\([0-7]{1,3})|\\(.)|([^\\])/gs)].map(
    ([, hex, octal, letter, plain = '']) => {
      if (hex !== undefined) return parseInt(hex, 16)
      if (octal !== undefined) return parseInt(octal, 8)
      return (letter === undefined ? plain : (escapes[letter] ?? letter)).charCodeAt(0)
    },
  )
  return Buffer.from(bytes)
}

/** PUBACK of MQTT 3.1.1: type 4, two more bytes. */
const isPuback = (bytes: Buffer) => bytes[0] === 0x40 && bytes[1] === 0x02 && bytes.length === 4

interface Traced {
  publishRead: number
  walWrites: number[]
  walSyncs: number[]
  puback: number
}

/**
 * A call that another thread interrupts is told in two lines. What is read, and that the disk was waited for, is so at the second; what is
 * written is so from the first on.
 */
function wholeCalls(trace: string): string[] {
  const begun = new Map<string, string>()
  return trace.split('\n').map((line) => {
    const pid = line.slice(0, line.indexOf(' '))
    const end = line.indexOf(' <unfinished ...>')
    if (end >= 0) {
      begun.set(pid, line.slice(0, end))
      return / (write|writev|sendto|sendmsg|pwrite64)\(/.test(line) ? line : ''
    }
    const rest = /<\.\.\. \w+ resumed>(.*)/s.exec(line)?.[1]
    return rest === undefined ? line : `${begun.get(pid) ?? ''}${rest}`
  })
}

/** Line numbers of the calls that matter; `-y` names each file. */
function understand(trace: string, topic: string): Traced {
  const lines = wholeCalls(trace)
  const all = (wanted: (line: string) => boolean) => lines.flatMap((line, i) => (wanted(line) ? [i] : []))
  const socket = /<(TCP|socket):/
  const publishRead = lines.findIndex((l) => / read\(/.test(l) && socket.test(l) && bytesOf(l).includes(topic))
  const puback = lines.findIndex(
    (l, i) => i > publishRead && / (write|writev|sendto|sendmsg)\(/.test(l) && socket.test(l) && isPuback(bytesOf(l)),
  )
  const between = (l: string, i: number) => i > publishRead && i < puback && l.includes('cirewatch.db-wal>')
  return {
    publishRead,
    puback,
    walWrites: all((l) => / pwrite64\(/.test(l)).filter((i) => between(lines[i] ?? '', i)),
    walSyncs: all((l) => / (fsync|fdatasync)\(/.test(l)).filter((i) => between(lines[i] ?? '', i)),
  }
}

async function traced(strace: string, data: string, trace: string) {
  const under = [strace, '-f', '-y', '-x', '-s', '256', '-e', calls, '-o', trace]
  try {
    return await startChild({ data, under })
  } catch (error) {
    if (!/ptrace/.test(String(error))) throw error
    throw new Error(
      `This test needs to trace a process, and this machine does not let it (CIREWATCH_TEST_WITHOUT=tracer leaves it out): ${String(error)}`,
    )
  }
}

describe.skipIf(without('tracer'))('a PUBACK', () => {
  it('leaves only after the write-ahead log was written and the disk was waited for', async () => {
    const data = await tempFolder()
    const trace = join(data, 'calls.txt')
    const gateway = await traced(programOf('tracer', 'strace'), data, trace)
    const pid = Number(/^(\d+) /.exec(readFileSync(trace, 'utf8'))?.[1])
    const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${gateway.mqttPort}`, { reconnectPeriod: 0 })
    // Let what belongs to the start and to the connection be over.
    await pause(500)
    await client.publishAsync('cirewatch/traced/reading', '{"celsius": 93.4}', { qos: 1 })
    await client.endAsync()
    process.kill(pid, 'SIGTERM')
    await until('the gateway has ended', () => !isAlive(pid))
    const { publishRead, walWrites, walSyncs, puback } = understand(
      readFileSync(trace, 'utf8'),
      'cirewatch/traced/reading',
    )
    expect(publishRead, 'the publish was read from its socket').toBeGreaterThan(0)
    expect(puback, 'a PUBACK was written after it').toBeGreaterThan(publishRead)
    expect(walWrites.length, 'the log was written in between').toBeGreaterThan(0)
    expect(walSyncs.length, 'and the disk was waited for').toBeGreaterThan(0)
    const order = [publishRead, walWrites[0], walWrites.at(-1), walSyncs.at(-1), puback]
    expect(order).toEqual([...order].sort((a, b) => (a ?? 0) - (b ?? 0)))
  })
})

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0)
    return true
  } catch {
    return false
  }
}
