/** Snapshot: the judge's state as text and back. The rules are not in it; they follow from the foundry document that is. */
import { Foundry } from '../contract/index.ts'
import { rulesOf } from './rules.ts'
import type { House } from './state.ts'

export function freeze(house: House): string {
  const { rules, ...rest } = house
  return JSON.stringify({ revision: rules.revision, foundry: rules.foundry, ...rest })
}

/** Null where the text is no state of ours: then the journal is folded from the beginning. */
export function thaw(text: string): House | null {
  try {
    const { revision, foundry, ...rest } = JSON.parse(text) as Omit<House, 'rules'> & {
      revision: number
      foundry: unknown
    }
    return { rules: rulesOf(Foundry.parse(foundry), revision), ...rest }
  } catch {
    return null
  }
}
