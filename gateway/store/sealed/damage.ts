/** What is thrown where bytes of a block or sheet are not what was written. */

export class BlockDamaged extends Error {
  override readonly name = 'BlockDamaged'
  /** A byte, or a part: `course, byte 37`. */
  readonly where: string

  /** The sentence says what is wrong, for a person. */
  constructor(where: string, sentence: string) {
    super(sentence)
    this.where = where
  }
}
