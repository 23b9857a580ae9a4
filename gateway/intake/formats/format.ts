/** What one publish means, whatever format it came in: the one shape that every format of this room ends in. */
import type { Decoded } from '../../../shared/contract/index.ts'

/** Something that must be said back to whoever published. */
export interface Say {
  topic: string
  payload: Uint8Array
}

/** For each instrument its moments or presence, or why it cannot be read. */
export interface Understood {
  decoded: readonly Decoded[]
  say?: readonly Say[]
  /** What the message held besides, one sentence each: understood, and not for us. */
  leftOut?: readonly string[]
}

export function cannotRead(reason: string, instrument: string | null = null): Understood {
  return { decoded: [{ is: 'unreadable', instrument, reason }] }
}

/** Nothing is to be kept of it. */
export function passedOver(...leftOut: string[]): Understood {
  return { decoded: [], leftOut }
}

/** So many letters of what a stranger sent may stand in a sentence. */
const shownMax = 60

function asText(value: unknown): string {
  if (typeof value !== 'object' || value === null) return String(value)
  try {
    return JSON.stringify(value, (_, inner: unknown) => (typeof inner === 'bigint' ? String(inner) : inner))
  } catch {
    // Nested deeper than the writing down of it can follow.
    return Array.isArray(value) ? '[[[[' : '{{{{'
  }
}

/** A stranger's word within a sentence: short, and without anything a page or a log could stumble over. */
export function shown(value: unknown): string {
  const text = asText(value)
  const short = text.length > shownMax ? `${text.slice(0, shownMax)}…` : text
  return `"${short.replace(/[\p{Cc}\p{Cs}]/gu, '\ufffd')}"`
}

const strict = new TextDecoder('utf-8', { fatal: true })

/** The text of a payload; null where it is not UTF-8. */
export function textOf(payload: Uint8Array): string | null {
  try {
    return strict.decode(payload)
  } catch {
    return null
  }
}

/** Holds a JSON value apart from "it is none", for `null` is one. */
export function jsonOf(text: string | null): { json: unknown } | null {
  if (text === null) return null
  try {
    return { json: JSON.parse(text) as unknown }
  } catch {
    return null
  }
}
