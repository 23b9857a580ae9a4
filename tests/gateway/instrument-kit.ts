/** A house of a few instruments whose clock the test leads, and what may be asked of them over HTTP. */
import type { CheckTried, Foundry, InstrumentLife, InstrumentNow, Problem } from '../../shared/contract/index.ts'
import { smallFoundry, startGateway, type TestGateway } from '../helpers/gateway.ts'

export const noon = Date.parse('2026-03-03T12:00:00Z')

type Change = Record<string, Record<string, unknown>>

/** The small foundry with some instruments changed, or added. */
export function foundryWith(change: Change): Foundry {
  const foundry = smallFoundry()
  const known = foundry.instruments.map((i) => ({ ...i, ...change[i.id] }))
  const added = Object.entries(change).filter(([id]) => !known.some((i) => i.id === id))
  return { ...foundry, instruments: [...known, ...added.map(([id, more]) => ({ id, name: id, ...more }))] } as Foundry
}

export async function house(change: Change = {}, at = noon): Promise<TestGateway> {
  return startGateway({ at, foundry: foundryWith(change) })
}

/** One reading every five seconds up to now, for a minute and a half. */
export async function minuteOf(g: TestGateway, instrument: string, celsius: (n: number) => number, until = noon) {
  await g.publish(
    instrument,
    Array.from({ length: 18 }, (_, n) => ({ at: until - (17 - n) * 5_000, celsius: celsius(n) })),
  )
}

export const checkOf = (g: TestGateway, id: string, body: Record<string, unknown>) =>
  g.ask<CheckTried & Problem>(`/api/v1/instruments/${id}/checks`, body)
export const one = async (g: TestGateway, id: string) => (await g.ask<InstrumentNow>(`/api/v1/instruments/${id}`)).body
export const life = async (g: TestGateway, id: string) =>
  (await g.ask<InstrumentLife>(`/api/v1/instruments/${id}/life`)).body
