/** A payload as a page or a log may show it. */
import { unreadableKeptBytesMax } from '../../shared/contract/index.ts'

/** Control characters (but tab and line feed) must not reach a page. */
const controls = /[^\P{Cc}\t\n]/gu
const strict = new TextDecoder('utf-8', { fatal: true })

/** The beginning of a payload for a person to recognise: text where it is text, else hex. */
export function shownPayload(payload: Uint8Array): string {
  const head = payload.subarray(0, unreadableKeptBytesMax)
  try {
    return strict
      .decode(head.length < payload.length ? head.subarray(0, head.length - 4) : head)
      .replace(controls, '\ufffd')
  } catch {
    return Buffer.from(head.subarray(0, 256)).toString('hex')
  }
}
