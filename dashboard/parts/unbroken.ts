/** Keeps a number and its unit on one line: a reader across the room should not have to join them. */

export function unbroken(text: string): string {
  return text.replace(/(\d) (?=(?:°[CF]|%|h|min|s|days)(?![\w]))/g, '$1\u00a0').replace(/± (?=\d)/g, '±\u00a0')
}
