/** Rows of a chart as they are found: two columns of numbers that grow. */

export class Rows {
  #t = new Float64Array(4_096)
  #v = new Float64Array(4_096)
  #length = 0

  push(t: number, v: number): void {
    if (this.#length === this.#t.length) {
      this.#t = grown(this.#t)
      this.#v = grown(this.#v)
    }
    this.#t[this.#length] = t
    this.#v[this.#length] = v
    this.#length++
  }

  /** Copies: they may be given away. */
  columns(): { t: Float64Array<ArrayBuffer>; v: Float64Array<ArrayBuffer> } {
    return { t: this.#t.slice(0, this.#length), v: this.#v.slice(0, this.#length) }
  }
}

function grown(column: Float64Array<ArrayBuffer>): Float64Array<ArrayBuffer> {
  const larger = new Float64Array(2 * column.length)
  larger.set(column)
  return larger
}
