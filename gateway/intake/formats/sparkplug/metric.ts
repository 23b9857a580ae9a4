/** Which instrument a metric is, and in which unit it speaks: settled once, by the birth that announces it. */
import type { MappingUnit } from '../../../../shared/contract/index.ts'
import { cleaned, distinct, hashOf, joined } from '../naming.ts'
import { unitFromName, unitSpelled } from '../unit-words.ts'
import type { Metric } from './payload.ts'
import { booleanType } from './value.ts'

export interface Source {
  group: string
  node: string
  device: string | null
}

/** A metric as its birth announced it. */
export interface Known {
  name: string
  device: string | null
  instrument: string
  datatype: number
  unit: MappingUnit
}

/** Metrics by which a node speaks of itself; they measure nothing. */
export function isAboutItself(name: string): boolean {
  return name === 'bdSeq' || /^(Node Control|Device Control|Node Info|Device Info|Properties)\//.test(name)
}

/** `engUnit` is how many senders name the unit of a metric (common practice, no source). */
function spelledUnit({ properties }: Metric): string {
  const carried = properties?.get('engUnit')?.carried ?? properties?.get('EngUnit')?.carried
  return carried?.as === 'string' ? carried.value : ''
}

export function unitOfMetric(metric: Metric, name: string, datatype: number): MappingUnit {
  // What is called open is closed while it is not.
  if (datatype === booleanType) return /(^|[^a-z])open$/i.test(name) ? 'open' : 'closed'
  const spelled = spelledUnit(metric)
  return (spelled === '' ? unitFromName(name) : unitSpelled(spelled, name)) ?? 'number'
}

/**
 * Names of instruments for all metrics of one birth: group, node, device and metric, joined. Without the group two nodes of one name
 * would share an instrument. Where two metrics would become one name, those that had to be changed for it carry their hash.
 */
export function instrumentsOf({ group, node, device }: Source, names: readonly string[]): Map<string, string> {
  const start = [group, node, ...(device === null ? [] : [device])].map(distinct)
  const taken = new Map<string, number>()
  for (const name of names) taken.set(cleaned(name), (taken.get(cleaned(name)) ?? 0) + 1)
  return new Map(
    names.map((name) => {
      const clean = cleaned(name)
      const part = clean !== name && (taken.get(clean) ?? 0) > 1 ? `${clean}-${hashOf(name)}` : clean
      return [name, joined([...start, part])]
    }),
  )
}
