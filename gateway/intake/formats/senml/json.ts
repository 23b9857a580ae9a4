/** SenML packs in JSON (RFC 8428, section 5). */
import { readingsPerMessageMax } from '../../../../shared/contract/index.ts'
import { jsonOf, shown, textOf } from '../format.ts'
import { recordOf, type SenmlRecord } from './record.ts'

/** Why a list cannot be a pack; null where it can. */
export function packTrouble(list: unknown): string | null {
  if (!Array.isArray(list)) return `The pack must be a list of records; it is ${shown(list)}.`
  if (list.length === 0) return 'The pack is an empty list.'
  return list.length > readingsPerMessageMax
    ? `The pack holds ${list.length} records; at most ${readingsPerMessageMax} are read.`
    : null
}

export function placeOf(i: number): string {
  return `Record ${i + 1} of the pack`
}

/** JSON.parse keeps the last of two equal keys and says nothing; of two values of one record neither can be trusted. */
function doubledKey(text: string): string | null {
  const objects: (Set<string> | null)[] = []
  const token = /"(?:[^"\\]|\\.)*"(\s*:)?|[{}[\]]/g
  for (let found = token.exec(text); found; found = token.exec(text)) {
    const [whole, colon] = found
    if (whole === '{' || whole === '[') objects.push(whole === '{' ? new Set() : null)
    else if (whole === '}' || whole === ']') objects.pop()
    else if (colon !== undefined) {
      const key = JSON.parse(whole.slice(0, -colon.length)) as string
      const keys = objects.at(-1)
      if (keys?.has(key)) return key
      keys?.add(key)
    }
  }
  return null
}

export function fromJson(payload: Uint8Array): SenmlRecord[] | string {
  const text = textOf(payload)
  const parsed = jsonOf(text)
  if (text === null || !parsed) return 'The pack is not JSON in UTF-8 (note that NaN and Infinity are no JSON).'
  const trouble = packTrouble(parsed.json)
  if (trouble !== null) return trouble
  const doubled = doubledKey(text)
  if (doubled !== null) return `A record of the pack has the label ${shown(doubled)} twice.`
  const pack: SenmlRecord[] = []
  for (const [i, one] of (parsed.json as unknown[]).entries()) {
    if (typeof one !== 'object' || one === null || Array.isArray(one))
      return `${placeOf(i)} must be an object; it is ${shown(one)}.`
    const record = recordOf(Object.entries(one), placeOf(i))
    if (typeof record === 'string') return record
    pack.push(record)
  }
  return pack
}

const encoder = new TextEncoder()

export function toJson(pack: readonly SenmlRecord[]): Uint8Array {
  return encoder.encode(JSON.stringify(pack))
}
