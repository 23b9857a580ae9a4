/** The two checksums of a block: CRC-32 (ISO-HDLC, as in zlib and PNG) of a whole string of bytes, CRC-32C (Castagnoli, as in iSCSI) of its parts. */

// They must differ: a string that ends with its own CRC has the same CRC whatever is in it.

/** Eight bytes at a time: table k tells what a byte does to the sum when k more follow it. */
function tablesOf(polynomial: number): Int32Array {
  const tables = new Int32Array(8 * 256)
  for (let byte = 0; byte < 256; byte++) {
    let sum = byte
    for (let bit = 0; bit < 8; bit++) sum = sum & 1 ? (sum >>> 1) ^ polynomial : sum >>> 1
    tables[byte] = sum
  }
  for (let i = 256; i < tables.length; i++) {
    const sum = tables[i - 256] as number
    tables[i] = (sum >>> 8) ^ (tables[sum & 255] as number)
  }
  return tables
}

/** 0x04C11DB7 and 0x1EDC6F41, the lowest power first. */
const isoHdlc = tablesOf(0xed_b8_83_20)
const castagnoli = tablesOf(0x82_f6_3b_78)

/** Of all the bytes. 0 … 2^32−1. */
export function crc32(bytes: Uint8Array): number {
  return sumOf(isoHdlc, bytes, viewOf(bytes), 0, bytes.length)
}

/** Of bytes[from] up to, not including, bytes[to]. Whoever has a view of the bytes hands it in. */
export function crc32c(bytes: Uint8Array, from: number, to: number, view = viewOf(bytes)): number {
  return sumOf(castagnoli, bytes, view, from, to)
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.length)
}

function sumOf(table: Int32Array, bytes: Uint8Array, view: DataView, from: number, to: number): number {
  let sum = -1
  let i = from
  for (; i + 8 <= to; i += 8) {
    const a = view.getInt32(i, true) ^ sum
    const b = view.getInt32(i + 4, true)
    sum =
      (table[1792 + (a & 255)] as number) ^
      (table[1536 + ((a >>> 8) & 255)] as number) ^
      (table[1280 + ((a >>> 16) & 255)] as number) ^
      (table[1024 + (a >>> 24)] as number) ^
      (table[768 + (b & 255)] as number) ^
      (table[512 + ((b >>> 8) & 255)] as number) ^
      (table[256 + ((b >>> 16) & 255)] as number) ^
      (table[b >>> 24] as number)
  }
  for (; i < to; i++) sum = (sum >>> 8) ^ (table[(sum ^ (bytes[i] as number)) & 255] as number)
  return ~sum >>> 0
}
