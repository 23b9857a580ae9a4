/** Numbers as loggers write them: decimal comma or point, thousands marks, a unit behind; or a word that says there is none. */

/** Words that loggers write where there is no value (common practice, no source). Compared in lower case. */
const noValueWords: ReadonlySet<string> = new Set([
  '',
  '-',
  '--',
  '---',
  '----',
  '-----',
  '*',
  '***',
  '?',
  'open',
  'ol',
  'o.l',
  'over',
  'under',
  'nan',
  'null',
  'none',
  'n/a',
  'na',
  '#n/a',
  'err',
  'error',
  'fault',
  'no data',
  'nodata',
  'inf',
  '-inf',
])

export function isNoValue(text: string): boolean {
  return noValueWords.has(text.trim().toLowerCase())
}

/** Spaces, an apostrophe or an underscore part thousands and nothing else. */
const gaps = /(?<=\d)[\s\u00a0\u2009\u202f'\u2019](?=\d{3}(?!\d))/gu
const unitBehind =
  /\s*(°\s*[CFK]|º\s*[CFK]|deg\s*[CFK]?|[CFK]|%\s*(rh)?|rh|pa|hpa|kpa|mbar|bar|m\/s|km\/h|m?a|[uµ]v|mv)$/i
const plain = /^[+-]?(\d+(\.\d*)?|\.\d+)(e[+-]?\d+)?$/i

/** The number, or null where the text is none. */
export function parseNumber(text: string, decimal: '.' | ','): number | null {
  const bare = text.trim()
  if (plain.test(bare) && (decimal === '.' || !bare.includes('.'))) return Number(bare)
  const body = bare
    .replace(/^[\u2212\u2013]/, '-')
    .replace(unitBehind, '')
    .replace(gaps, '')
  const other = decimal === '.' ? ',' : '.'
  const grouped = body.includes(other)
  if (grouped && !(decimal === '.' ? groupedByComma : groupedByPoint).test(body)) return null
  const number = (grouped ? body.replaceAll(other, '') : body).replace(',', '.')
  return plain.test(number) ? Number(number) : null
}

const groupedByComma = /^[+-]?\d{1,3}(,\d{3})+(\.\d*)?$/
const groupedByPoint = /^[+-]?\d{1,3}(\.\d{3})+(,\d*)?$/

/** Whether the text reads as a number with either mark. */
export function looksLikeNumber(text: string): boolean {
  return parseNumber(text, '.') !== null || parseNumber(text, ',') !== null
}

/** What a cell says about the decimal mark: `either` where 1,234 may be a thousand or a little more than one. */
export function decimalIn(text: string): '.' | ',' | 'either' | null {
  const body = text
    .trim()
    .replace(unitBehind, '')
    .replace(gaps, '')
    .replace(/^[+\-\u2212]/, '')
  if (!/^\d[\d.,]*$/.test(body) || !/[.,]/.test(body)) return null
  const marks = [...new Set(body.replace(/\d/g, ''))]
  if (marks.length === 2) return body.lastIndexOf(',') > body.lastIndexOf('.') ? ',' : '.'
  const mark = marks[0] as '.' | ','
  const other = mark === '.' ? ',' : '.'
  const parts = body.split(mark)
  // Twice the same mark: it parts thousands.
  if (parts.length > 2) return parts.slice(1).every((p) => p.length === 3) ? other : null
  const [whole = '', rest = ''] = parts
  return rest.length === 3 && whole.length <= 3 && !/^0/.test(whole) ? 'either' : mark
}

/** What a contact says: 1 closed, 0 open. Open and closed are values here, not the want of one. */
export function parseContact(text: string): number | null {
  const word = text.trim().toLowerCase()
  if (['1', 'true', 'closed', 'close', 'on', 'shut'].includes(word)) return 1
  if (['0', 'false', 'open', 'off'].includes(word)) return 0
  return null
}
