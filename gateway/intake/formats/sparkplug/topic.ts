/** Topics of Sparkplug B: who speaks, and what kind of message it is. */
import { shown } from '../format.ts'
import { idLettersMax } from './limits.ts'
import type { Source } from './metric.ts'

export const sparkplugRoot = 'spBv1.0'

/** Kinds that come from a node or from one of its devices. */
const fromNode = ['NBIRTH', 'NDATA', 'NDEATH'] as const
const fromDevice = ['DBIRTH', 'DDATA', 'DDEATH'] as const
/** Spoken by hosts, us among them: nothing to be read. */
const fromHost: readonly string[] = ['NCMD', 'DCMD', 'STATE']

export type Kind = 'birth' | 'data' | 'death'
export interface Address extends Source {
  kind: Kind
}

const kinds = ['birth', 'data', 'death'] as const

export function rebirthTopic(group: string, node: string): string {
  return `${sparkplugRoot}/${group}/NCMD/${node}`
}

/** Null where a host spoke; one sentence where the topic is none of Sparkplug's. */
export function addressOf(topic: string): Address | null | string {
  const [, group = '', type = '', node = '', device, ...more] = topic.split('/')
  if (group === 'STATE' || fromHost.includes(type)) return null
  const ofNode = (fromNode as readonly string[]).indexOf(type)
  const ofDevice = (fromDevice as readonly string[]).indexOf(type)
  const kind = kinds[Math.max(ofNode, ofDevice)]
  if (kind === undefined) return `The topic names no kind of message that Sparkplug knows: ${shown(type)}.`
  const ids = device === undefined ? [group, node] : [group, node, device]
  if (more.length > 0 || ids.includes('') || ofNode >= 0 !== (device === undefined))
    return `The topic is not of the form ${sparkplugRoot}/<group>/${type}/<node>${ofNode >= 0 ? '' : '/<device>'}.`
  if (ids.some((id) => id.length > idLettersMax)) return `The topic has an id of more than ${idLettersMax} letters.`
  return { group, node, device: device ?? null, kind }
}
