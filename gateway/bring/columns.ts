/** What the name of a column says: which quantity, in which unit, or that it is nothing to keep. */
import { type BringUnit, bringUnits, type Quantity } from '../../shared/contract/index.ts'

export type ColumnSense =
  | { is: 'value'; quantity: Quantity; unit: BringUnit | null; why: string }
  | { is: 'left-out'; why: string }
  | { is: 'unknown' }

const unitWords: readonly [RegExp, BringUnit][] = [
  [/°\s*c|º\s*c|\bcelsius\b|\bdeg\.?\s*c\b|(^|[\s([/_,])c($|[\s)\]])/i, 'C'],
  [/°\s*f|º\s*f|\bfahrenheit\b|\bdeg\.?\s*f\b|(^|[\s([/_,])f($|[\s)\]])/i, 'F'],
  [/\bkelvin\b|(^|[\s([/_,])k($|[\s)\]])/i, 'K'],
  [/\bhpa\b/i, 'hPa'],
  [/\bkpa\b/i, 'kPa'],
  [/\bmbar\b/i, 'mbar'],
  [/\bbar\b/i, 'bar'],
  [/\bpa\b/i, 'Pa'],
  [/\bm\/s\b/i, 'm/s'],
  [/\bkm\/h\b/i, 'km/h'],
  [/%/i, '%'],
  [/[([]\s*ma\s*[)\]]/i, 'mA'],
  [/[([]\s*a\s*[)\]]|\bamps?\b|\bamperes?\b/i, 'A'],
]

/** Latin composed signs such as ℃ become two letters, so that one rule reads both. */
function folded(text: string): string {
  return text.normalize('NFKC').trim()
}

export function unitIn(text: string): BringUnit | null {
  const plain = folded(text)
  return unitWords.find(([word]) => word.test(plain))?.[1] ?? null
}

/** A cell that is a unit and nothing else, as in a second line of the head. */
export function isUnitCell(text: string): boolean {
  const bare = folded(text).replace(/^[([]|[)\]]$/g, '')
  return bare === '' || (bare.length <= 10 && unitIn(bare) !== null) || /^%?\s*rh$/i.test(bare)
}

/** Asked from top to bottom: the first that fits decides. Words of English heads, with the commonest of their short forms. */
const leftOut: readonly [RegExp, string][] = [
  [
    /dew\s*-?\s*point|\bdp\b|wet\s*-?\s*bulb|heat\s*index|frost\s*point/i,
    'it is worked out from other values, not measured',
  ],
  [/set\s*-?\s*point|\bsp\b|\btarget\b|\bwsp\b/i, 'a set-point is a wish, not a measurement'],
  [/batt|voltage|\brssi\b|signal|memory/i, 'it speaks of the logger itself'],
  [/^(no\.?|nr\.?|#|n|id|idx|index|row|record|rec\.?\s*(no\.?)?|sample|seq|count|scan)$/i, 'it only counts the lines'],
  [/output|\bpower\b|\bduty\b|\bopen(ing)?\s*%/i, 'it says what a controller did, not what was measured'],
  [/arrived|received|uploaded/i, 'it is not when or what was measured'],
  [/alarm|status|event|comment|note|remark|\blate\b/i, 'it holds no measured value'],
]
const values: readonly [RegExp, Quantity][] = [
  [/humid|\brh\b|%\s*rh|\bhum\b|relative/i, 'humidity'],
  [/air\s*-?\s*(speed|velocity)|wind|\bm\/s\b/i, 'air-speed'],
  [/press|\bh?k?pa\b|\bmbar\b/i, 'pressure'],
  [/\bamps?\b|\bcurrent\b|[([]\s*m?a\s*[)\]]/i, 'current'],
  [/\bdoor\b|\bcontact\b|\bmains\b/i, 'contact'],
  [/temp|°\s*[cfk]|celsius|fahrenheit|kelvin|thermocouple|\btc\s*\d*\b|\bpv\b|process\s*value|pyro/i, 'temperature'],
]
/** Names of channels that say nothing but are nearly always temperatures in this trade (common practice, no source). */
const channel = /^(ch(annel)?|t|probe|sensor|input|zone)[\s_.-]*\d*\b/i

export function senseOf(head: string): ColumnSense {
  const plain = folded(head)
  if (plain === '') return { is: 'unknown' }
  const out = leftOut.find(([word]) => word.test(plain))
  if (out) return { is: 'left-out', why: out[1] }
  const unit = unitIn(plain)
  const found = values.find(([word]) => word.test(plain))?.[1]
  const quantity = found ?? quantityOf(unit) ?? (channel.test(plain) ? 'temperature' : null)
  if (quantity === null) return { is: 'unknown' }
  const fits = unit !== null && (bringUnits[quantity] as readonly string[]).includes(unit)
  const only = bringUnits[quantity].length === 1 ? (bringUnits[quantity][0] as BringUnit) : null
  return { is: 'value', quantity, unit: fits ? unit : only, why: `it is called "${head.trim().slice(0, 60)}"` }
}

function quantityOf(unit: BringUnit | null): Quantity | null {
  switch (unit) {
    case null:
      return null
    case '%':
      return 'humidity'
    default:
      return (
        (Object.keys(bringUnits) as Quantity[]).find((q) => (bringUnits[q] as readonly string[]).includes(unit)) ?? null
      )
  }
}
