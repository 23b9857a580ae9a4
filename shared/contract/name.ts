/** Names as devices, documents and addresses may carry them. */
import { z } from 'zod'
import { nameLettersMax } from './limits.ts'

const shape = /^[A-Za-z0-9][A-Za-z0-9_:.-]*$/

/** Letters, digits, `_ : . -`, beginning with a letter or digit: safe in a topic, an address and a file name. */
export const Name = z
  .string()
  .max(nameLettersMax, `may have at most ${nameLettersMax} letters`)
  .regex(shape, 'may hold only letters, digits and _ : . - and must begin with a letter or digit')

export function isName(text: string): boolean {
  return text.length <= nameLettersMax && shape.test(text)
}

/** A text a person reads. */
export const Label = z.string().trim().min(1, 'must not be empty').max(200, 'may have at most 200 letters')
