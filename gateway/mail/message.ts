/** A letter as a mail carries it: plain text, the same as HTML, and what is attached. Pure. */
import type { Letter } from '../../shared/words/index.ts'

export interface Attached {
  name: string
  /** Media type with its charset. */
  type: string
  text: string
}

export interface Message {
  subject: string
  text: string
  html: string
  attached: readonly Attached[]
}

export function messageOf(letter: Letter, attached: readonly Attached[]): Message {
  return { subject: letter.subject, text: textOf(letter), html: htmlOf(letter), attached }
}

export function textOf({ invented, title, top, link, parts, bottom }: Letter): string {
  const blocks = [
    ...(invented === null ? [] : [invented]),
    top.join('\n'),
    title,
    ...(link === null ? [] : [`The page: ${link}`]),
    ...parts.map((part) => [part.title, ...part.lines.map((line) => `- ${line}`)].join('\n')),
    bottom.join('\n'),
  ]
  return `${blocks.join('\n\n')}\n`
}

/** Everything that is put into the HTML goes through here, also between quotes. */
export function escaped(text: string): string {
  const signs: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' }
  return text.replace(/[&<>"']/g, (sign) => signs[sign] ?? sign)
}

/** No picture, no script, no style from elsewhere: nothing that a mail reader must fetch or hold back. */
export function htmlOf({ invented, title, top, link, parts, bottom }: Letter): string {
  const p = (text: string) => `<p>${escaped(text)}</p>`
  const lines = [
    `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>${escaped(title)}</title></head>`,
    '<body style="font-family:sans-serif;max-width:42em">',
    ...(invented === null ? [] : [`<p><strong>${escaped(invented)}</strong></p>`]),
    ...top.map(p),
    `<h1 style="font-size:1.2em">${escaped(title)}</h1>`,
    ...(link === null ? [] : [`<p><a href="${escaped(link)}">The page of this night</a></p>`]),
    ...parts.flatMap((part) => [
      `<h2 style="font-size:1em">${escaped(part.title)}</h2>`,
      `<ul>${part.lines.map((line) => `<li>${escaped(line)}</li>`).join('')}</ul>`,
    ]),
    ...bottom.map(p),
    '</body></html>',
  ]
  return `${lines.join('\n')}\n`
}
