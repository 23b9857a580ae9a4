/** Names of instruments made from what strangers call them: the same again after every restart, and never one name for two. */
import { isName, nameLettersMax } from '../../../shared/contract/index.ts'

const hashLetters = 8

/** FNV-1a, 32 bits (from memory of its published constants): short, and the same everywhere. */
export function sumOf(bytes: Uint8Array): number {
  let sum = 0x811c9dc5
  for (const byte of bytes) sum = Math.imul(sum ^ byte, 0x01000193)
  return sum >>> 0
}

const encoder = new TextEncoder()

export function hashOf(text: string): string {
  return sumOf(encoder.encode(text)).toString(16).padStart(hashLetters, '0')
}

/** What may stand in a name; a colon may not, for it joins the parts. */
export function cleaned(part: string): string {
  return part.replace(/[^A-Za-z0-9_.-]/gu, '-')
}

/** A part that had to be changed could now be mistaken for another: it carries the hash of what it was. */
export function distinct(part: string): string {
  const clean = cleaned(part)
  return clean === part ? part : `${clean}-${hashOf(part)}`
}

/** Joins parts that are clean. Too long, or not beginning as a name must, it is cut and carries the hash of the whole. */
export function joined(parts: readonly string[]): string {
  const whole = parts.join(':')
  if (isName(whole)) return whole
  const start = whole.replace(/^[^A-Za-z0-9]+/, '').slice(0, nameLettersMax - hashLetters - 1)
  return `${start === '' ? 'x' : start}-${hashOf(whole)}`
}
