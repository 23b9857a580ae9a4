/** What went wrong, as one sentence for a person. */
export function sentenceOf(error: unknown): string {
  const message = error instanceof Error ? error.message : String(error)
  return /[.!?]$/.test(message) ? message : `${message}.`
}
