/** Names that a topic and an address can carry, made from what a person wrote. Pure. */

const lettersMax = 60

/** `Wax room, north` becomes `wax-room-north`, or `wax-room-north-2` where that is taken. */
export function freeId(text: string, taken: ReadonlySet<string>, otherwise: string): string {
  const plain = text
    .normalize('NFKD')
    .replace(/[\u0300-\u036f]/g, '')
    .replace(/[^A-Za-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .toLowerCase()
    .slice(0, lettersMax)
  const base = plain === '' ? otherwise : plain
  for (let n = 1; ; n++) {
    const id = n === 1 ? base : `${base}-${n}`
    if (!taken.has(id)) return id
  }
}
