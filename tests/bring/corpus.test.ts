/** Every quirk of the invented tables: guessed as a person would, and read to the last digit. */
import { describe, expect, it } from 'vitest'
import { allFiles, bytesOf, specimens } from './corpus.ts'
import { bySeries, guessed, readAll } from './kit.ts'

describe('tables of stand-alone loggers', () => {
  it('are all looked at', () => {
    expect(specimens.map((s) => s.file).sort()).toEqual(allFiles().sort())
    expect(specimens.length).toBeGreaterThanOrEqual(14)
  })

  it.each(specimens)('$file is guessed right: $quirks', ({ file, plan: { order, zone, ...expected } }) => {
    const { plan } = guessed(bytesOf(file), file)
    expect(plan).toMatchObject(expected)
    expect(plan.time.order).toBe(order)
    if (zone !== undefined) expect(plan.time.zone).toBe(zone)
  })

  it.each(specimens)('$file is read to the last digit', async ({ file, corrected, readings, unreadable, missing }) => {
    const bytes = bytesOf(file)
    const { plan } = guessed(bytes, file)
    const read = await readAll(bytes, corrected ? corrected(plan) : plan)
    expect(bySeries(read.readings)).toEqual(readings)
    expect(read.result.unreadable.first.map((t) => t.line)).toEqual(unreadable ?? [])
    expect(read.result.clock.missing.first.map((t) => t.line)).toEqual(missing ?? [])
    expect(read.result.bytes).toBe(bytes.length)
  })

  it('says of every guess why', () => {
    for (const { file } of specimens)
      for (const { sentence } of guessed(bytesOf(file), file).guesses) expect(sentence, file).toMatch(/^["A-Z\d].*\.$/)
  })

  it('names the line that tells day from month', () => {
    const said = (file: string) => guessed(bytesOf(file), file).guesses.find((g) => g.about === 'date-order')
    expect(said('invented-kiln-tab.txt')?.sentence).toBe('Day before month: 25 stands in first place on line 2.')
    expect(said('invented-mdy-ampm.csv')?.sentence).toBe('Month before day: 13 stands in second place on line 5.')
    expect(said('invented-could-be-either.csv')).toMatchObject({ sure: 'ask' })
  })

  it('keeps nothing while a question is open', async () => {
    const file = 'invented-could-be-either.csv'
    const bytes = bytesOf(file)
    await expect(readAll(bytes, guessed(bytes, file).plan)).rejects.toThrow('whether day or month stands first')
  })
})
