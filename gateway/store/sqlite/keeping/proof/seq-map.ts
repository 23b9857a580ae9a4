/** Which seqs were met: one bit each, so that none may come twice among hundreds of millions. */

/** Seqs in one page: 128 kB. */
const pageSeqs = 2 ** 20

/** Beyond this a seq is not remembered. Reason: its bits would need half a gigabyte; a foundry with 64 series at 1 Hz gets there after two years. */
export const seqRememberedMax = 2 ** 32

/** Memory: a bit for each seq of every page that was touched; 300 million readings in a row need 38 MB. */
export class SeqMap {
  readonly #pages = new Map<number, Uint8Array>()

  /** False where it was here before. */
  add(seq: number): boolean {
    const number = Math.floor(seq / pageSeqs)
    let page = this.#pages.get(number)
    if (page === undefined) {
      page = new Uint8Array(pageSeqs / 8)
      this.#pages.set(number, page)
    }
    const place = seq % pageSeqs
    const bit = 1 << (place & 7)
    const before = page[place >>> 3] as number
    page[place >>> 3] = before | bit
    return (before & bit) === 0
  }

  has(seq: number): boolean {
    const place = seq % pageSeqs
    return ((this.#pages.get(Math.floor(seq / pageSeqs))?.[place >>> 3] ?? 0) & (1 << (place & 7))) !== 0
  }
}
