/** Base64 for addresses, RFC 4648 section 5, without padding: how SenML carries bytes in JSON. */

const alphabet = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_'
const sixBitsOf: ReadonlyMap<string, number> = new Map([...alphabet].map((letter, i) => [letter, i]))

export function toBase64url(bytes: Uint8Array): string {
  let text = ''
  let held = 0
  let bits = 0
  for (const byte of bytes) {
    held = ((held << 8) | byte) & 0xffff
    for (bits += 8; bits >= 6; ) {
      bits -= 6
      text += alphabet[(held >> bits) & 63]
    }
  }
  return bits === 0 ? text : text + alphabet[(held << (6 - bits)) & 63]
}

/** Null where the text is none, or is one that no bytes would have been written as. */
export function fromBase64url(text: string): Uint8Array | null {
  const bytes = new Uint8Array(Math.floor((text.length * 3) / 4))
  let held = 0
  let bits = 0
  let at = 0
  for (const letter of text) {
    const value = sixBitsOf.get(letter)
    if (value === undefined) return null
    held = ((held << 6) | value) & 0xffff
    bits += 6
    if (bits < 8) continue
    bits -= 8
    bytes[at++] = (held >> bits) & 255
  }
  const rest = held & ((1 << bits) - 1)
  return text.length % 4 === 1 || rest !== 0 ? null : bytes
}
