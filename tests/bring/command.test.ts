/** The verbs import and export as they are typed: beside a running gateway, and on a database of their own. */
import { existsSync, mkdtempSync, readFileSync } from 'node:fs'
import { rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { exportVerb } from '../../gateway/command/export.ts'
import { importVerb } from '../../gateway/command/import.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { smallFoundry, startGateway } from '../helpers/gateway.ts'

const file = (name: string) => join(import.meta.dirname, 'files', name)

function folder(): string {
  const path = mkdtempSync(join(tmpdir(), 'cirewatch-bring-'))
  onTestFinished(() => rm(path, { recursive: true, force: true }))
  return path
}

/** Runs a verb; what it wrote to stdout and how it ended. */
async function typed(verb: typeof importVerb, ...words: string[]): Promise<{ code: number; said: string }> {
  let said = ''
  const out = vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    said += String(text)
    return true
  })
  const err = vi.spyOn(process.stderr, 'write').mockReturnValue(true)
  try {
    return { code: await verb.run(words), said }
  } finally {
    out.mockRestore()
    err.mockRestore()
  }
}

/** Export writes to a file here: stdout is the test's own. */
async function exported(...words: string[]): Promise<string[]> {
  const out = join(folder(), 'out')
  expect((await typed(exportVerb, ...words, '--out', out)).code).toBe(0)
  return readFileSync(out, 'utf8').split(/\r?\n/)
}

describe('import on the command line', () => {
  it('is a dry run that makes no database', async () => {
    const data = folder()
    const { code, said } = await typed(importVerb, file('invented-remarks.csv'), '--data', data)
    expect(code).toBe(0)
    expect(said).toContain('3 readings would be kept.')
    expect(said).toContain('line 9: "this line is broken" is no date')
    expect(said).toContain('With --store it is.')
    expect(existsSync(join(data, 'cirewatch.db'))).toBe(false)
  })

  it('keeps nothing while a question is open, and what was answered once it is not', async () => {
    const data = folder()
    const words = [file('invented-could-be-either.csv'), '--data', data, '--store']
    await expect(typed(importVerb, ...words)).rejects.toThrow('whether day or month stands first')
    const answers = [
      '--date-order',
      'mdy',
      '--zone',
      'America/New_York',
      '--column',
      'Temp °C=room.temperature:F',
      '--by',
      'Ana',
    ]
    expect((await typed(importVerb, ...words, ...answers)).said).toContain('2 readings are kept now.')
    expect((await typed(importVerb, ...words, ...answers)).said).toContain(
      'Nothing new: every reading was here already.',
    )
    const store = await openSqliteStore(join(data, 'cirewatch.db'))
    expect(await store.readingsOf('room.temperature')).toBe(2)
    expect((await store.newest('act', 10)).map((a) => a.by)).toEqual(['Ana', 'Ana'])
    await store.close()
    const [, line] = await exported('--series', 'room.temperature', '--data', data)
    expect(line).toContain(`2026-03-04T15:00:00.000Z`)
    expect(line).toContain(`,${((21 - 32) * 5) / 9},°C,good,`)
  })

  it.each([
    [['--column', 'Nothing=room.temperature:C'], 'names no column'],
    [['--column', 'Date=room.temperature:C'], 'holds the time'],
    [['--column', 'Temp °C=room:C'], 'names no series'],
    [['--column', 'Temp °C=room.temperature:bar'], 'a unit in which its quantity is not measured'],
    [['--zone', 'Atlantis'], 'neither a time zone'],
    [['--delimiter', '~'], '--delimiter must be one of'],
    [['--date-order', 'ydm'], '--date-order must be one of'],
  ])('refuses %j with one sentence', async (words, sentence) => {
    await expect(typed(importVerb, file('invented-could-be-either.csv'), '--data', folder(), ...words)).rejects.toThrow(
      sentence,
    )
  })

  it('speaks to the gateway that is running, and so does export', async () => {
    const gateway = await startGateway({ at: Date.UTC(2026, 10, 25), foundry: smallFoundry(), store: 'sqlite' })
    const where = ['--data', gateway.config.data, '--http', new URL(gateway.http).host]
    expect((await typed(importVerb, file('invented-iso.csv'), ...where)).said).toContain('5 readings would be kept.')
    const kept = await typed(importVerb, file('invented-iso.csv'), ...where, '--store', '--json')
    expect(JSON.parse(kept.said)).toMatchObject({
      stored: true,
      readings: 5,
      plan: { time: { zone: 'Europe/London' } },
    })
    const unclaimed = await gateway.ask<{ items: unknown[] }>('/api/v1/unclaimed')
    expect(unclaimed.body.items).toMatchObject([{ instrument: 'invented-iso', readings: 5 }])
    const lines = await exported(
      '--series',
      'invented-iso.temperature',
      '--series',
      'invented-iso.humidity',
      '--as',
      'jsonl',
      ...where,
    )
    expect(lines.filter((l) => l !== '').map((l) => (JSON.parse(l) as { value: number }).value)).toEqual([
      21.4, 21.5, 21.45, 44.5, 44.1,
    ])
    await expect(
      typed(importVerb, file('invented-iso.csv'), '--data', gateway.config.data, '--http', '127.0.0.1:1'),
    ).rejects.toThrow('does not answer at http://127.0.0.1:1')
  })
})

describe('export on the command line', () => {
  it('never writes over a file, and refuses what it cannot understand', async () => {
    const out = file('invented-iso.csv')
    await expect(typed(exportVerb, '--series', 'a.temperature', '--data', folder(), '--out', out)).rejects.toThrow(
      'There is a file',
    )
    await expect(typed(exportVerb, '--data', folder())).rejects.toThrow('needs at least one --series')
    await expect(typed(exportVerb, '--series', 'a', '--data', folder())).rejects.toThrow('"a" is no series')
    await expect(typed(exportVerb, '--series', 'a.temperature', '--from', 'monday')).rejects.toThrow(
      '--from must be an instant',
    )
  })
})
