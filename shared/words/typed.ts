/** A temperature as people type it, in °C, in °F or in both: both must mean the same, or it is refused with both shown. Pure. */

export type Typed = { celsius: number; says: string } | { celsius: null; says: string }

/** Half a unit of the last digit that was written. */
function halfDigit(text: string): number {
  const decimals = /\.(\d+)/.exec(text)?.[1]?.length ?? 0
  return 0.5 * 10 ** -decimals
}

const toCelsius = (fahrenheit: number) => ((fahrenheit - 32) * 5) / 9
const toFahrenheit = (celsius: number) => (celsius * 9) / 5 + 32
const tenth = (value: number) => String(Math.round(value * 10) / 10).replace('-', '−')

interface Part {
  text: string
  value: number
  unit: 'C' | 'F'
}

const shape = /^(-?\d+(?:\.\d+)?)\s*(?:°|º|deg(?:rees)?)?\s*(c|celsius|f|fahrenheit)?$/i

function partOf(text: string, unit: 'C' | 'F'): Part | null {
  const found = shape.exec(
    text
      .trim()
      .replace('−', '-')
      .replace(/(\d),(\d)/, '$1.$2'),
  )
  if (!found) return null
  const [, number = '', word] = found
  return {
    text: number,
    value: Number(number),
    unit: word === undefined ? unit : word.toLowerCase().startsWith('c') ? 'C' : 'F',
  }
}

/** `unit`: what a number without one is taken for. `lowC`, `highC`: what can be meant at all. */
export function temperatureTyped(text: string, unit: 'C' | 'F', lowC = -50, highC = 1_800): Typed {
  const no = (says: string): Typed => ({ celsius: null, says })
  if (text.trim() === '') return no('')
  const parts = text.split(/[=/]|\bor\b/i).map((one) => partOf(one, unit))
  const [first, second, ...more] = parts
  if (!first || second === null || more.length > 0)
    return no(`“${text.trim()}” is no temperature: write 150 °C, 302 °F, or 150 °C = 302 °F.`)
  if (second && second.unit === first.unit)
    return no(`Both are in °${first.unit}: write one of them, or the pair in °C and °F.`)
  const c = [first, second].find((part) => part?.unit === 'C')
  const f = [first, second].find((part) => part?.unit === 'F')
  if (c && f) {
    const apart = Math.abs(toCelsius(f.value) - c.value)
    if (apart > halfDigit(c.text) + (halfDigit(f.text) * 5) / 9)
      return no(
        `${c.text} °C is ${tenth(toFahrenheit(c.value))} °F, and ${f.text} °F is ${tenth(toCelsius(f.value))} °C. They are not one temperature: which is meant?`,
      )
  }
  const celsius = c ? c.value : toCelsius(f?.value ?? Number.NaN)
  if (celsius < lowC || celsius > highC)
    return no(`${tenth(celsius)} °C cannot be meant here: ${tenth(lowC)} to ${tenth(highC)} °C can.`)
  return { celsius: Math.round(celsius * 1e6) / 1e6, says: `${tenth(celsius)} °C = ${tenth(toFahrenheit(celsius))} °F` }
}
