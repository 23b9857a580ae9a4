/** Turns what a schema found wrong into one sentence for each fault: what, where, and what is expected there. */
import type { z } from 'zod'

export interface Complaint {
  /** For example `stations[2].limits[0].aboveC`; empty for the whole document. */
  path: string
  sentence: string
}

export function pathText(path: readonly PropertyKey[]): string {
  return path.reduce<string>(
    (text, step) =>
      typeof step === 'number' ? `${text}[${step}]` : text === '' ? String(step) : `${text}.${String(step)}`,
    '',
  )
}

function valueAt(document: unknown, path: readonly PropertyKey[]): unknown {
  return path.reduce<unknown>(
    (value, step) =>
      typeof value === 'object' && value !== null ? (value as Record<PropertyKey, unknown>)[step] : undefined,
    document,
  )
}

function shown(value: unknown): string {
  const text = value === undefined ? 'nothing' : JSON.stringify(value)
  return text.length > 60 ? `${text.slice(0, 57)}…` : text
}

function reason(issue: z.core.$ZodIssue, document: unknown): string {
  const found = shown(valueAt(document, issue.path))
  switch (issue.code) {
    case 'invalid_type':
      return found === 'nothing'
        ? `is missing; it must be ${article(issue.expected)}`
        : `must be ${article(issue.expected)}; it is ${found}`
    case 'unrecognized_keys':
      return `does not know ${issue.keys.map((k) => `"${k}"`).join(', ')}; check the spelling or leave it out`
    case 'too_small':
      return `must be ${issue.inclusive ? 'at least' : 'more than'} ${issue.minimum}; it is ${found}`
    case 'too_big':
      return issue.message.startsWith('may')
        ? issue.message
        : `must be ${issue.inclusive ? 'at most' : 'less than'} ${issue.maximum}; it is ${found}`
    case 'invalid_value':
      return `must be ${issue.values.map((v) => JSON.stringify(v)).join(' or ')}; it is ${found}`
    case 'invalid_union':
      // A union that says itself what it wants.
      if (issue.message.startsWith('must ')) return `${issue.message}; it is ${found}`
      return issue.discriminator
        ? `must say a known ${issue.discriminator}; it is ${found}`
        : `has none of the allowed shapes; it is ${found}`
    default:
      return issue.message
  }
}

function article(type: string): string {
  if (type === 'int') return 'a whole number'
  return /^[aeiou]/.test(type) ? `an ${type}` : `a ${type}`
}

/** One complaint for each fault, in the order of the document. */
export function explain(
  error: { issues: readonly z.core.$ZodIssue[] },
  document: unknown,
  whole = 'The document',
): Complaint[] {
  return error.issues.map((issue) => {
    const path = pathText(issue.path)
    return { path, sentence: `${path === '' ? whole : path} ${reason(issue, document)}.` }
  })
}
