/** Why a value means no temperature, in words, and the first thing to do about it. */
import type { NoAnswer, QualityReason } from '../contract/index.ts'

interface Said {
  /** Follows *it gives no temperature:* */
  because: string
  todo: string
}

const said: Record<NoAnswer, Said> = {
  'emissivity-too-low': {
    because: 'what it looks at mirrors more than it sends out',
    todo: 'Measure there with a contact probe.',
  },
  'background-outshines': {
    because: 'what is mirrored in it would alone give more than it sees',
    todo: 'Look whether something hot or cold is mirrored there, and whether its background is set as it is.',
  },
  'out-of-range': {
    because: 'with its settings it would mean a temperature that nothing here can have',
    todo: 'Look at its settings and whether its window is clean.',
  },
  'spot-too-large': {
    because: 'it sees more than its target',
    todo: 'Go nearer, or set its spot and its target as they are.',
  },
}

export function noAnswerBecause(reason: NoAnswer): string {
  return said[reason].because
}

export function noAnswerTodo(reason: NoAnswer): string {
  return said[reason].todo
}

/** A sentence of its own. */
export function noAnswerSays(reason: NoAnswer): string {
  return `No temperature: ${said[reason].because}.`
}

/** Why a reading that is bad means nothing. */
export function badSays(reason: QualityReason | undefined): string {
  if (reason === 'sensor-code') return 'No value: it sent a code that stands for none.'
  return reason === 'implausible'
    ? 'No value: no instrument of the trade can mean what it sent.'
    : 'No value: what it sent must not be believed.'
}
