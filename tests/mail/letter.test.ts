/** What the mail says: the brief first, the night in words, plainly marked where it is invented; names stay names. */
import { describe, expect, it } from 'vitest'
import { nightReview } from '../../gateway/record/night/review.ts'
import { htmlOf, textOf } from '../../gateway/mail/message.ts'
import { Foundry } from '../../shared/contract/index.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'
import { type LetterWish, nightBrief, nightLetter, oneLine, speechOf } from '../../shared/words/index.ts'
import { at, dawn, everyMinute, foundryDocument, materialOf, seriesOf } from '../night/material.ts'

const warm = everyMinute((t) => (t > at(10) && t < at(11, 30) ? 26 : 22))
const wish: LetterWish = { site: { name: 'Test', invented: false }, now: dawn, link: null, late: null }

function letterOf(room = 'Dry room', more: Partial<LetterWish> = {}) {
  const foundry = Foundry.parse({
    ...foundryDocument,
    stations: foundryDocument.stations.map((s) => (s.id === 'D' ? { ...s, name: room } : s)),
  })
  const series = [
    seriesOf('air', 'temperature', warm),
    seriesOf(
      'air',
      'humidity',
      everyMinute(() => 50),
    ),
  ]
  const review = nightReview(materialOf(series, { foundry, now: dawn }))
  const speech = speechOf(foundry)
  return { letter: nightLetter(review, speech, { ...wish, ...more }), brief: nightBrief(review, speech) }
}

describe('the letter of a night', () => {
  it('begins with the brief, in the subject and in its first lines', () => {
    const { letter, brief } = letterOf()
    expect(letter.subject).toBe(`Night of Wed 10 Jun to Thu 11 Jun: ${brief[0]}`)
    expect(textOf(letter).split('\n').slice(0, 3)).toEqual(brief)
    expect(brief[0]).toContain('left its band')
    expect(textOf(letter)).toMatch(
      /- Dry room temperature above its band 22:00–23:29 \(1 h 29 min\), highest 26.0 °C; cause A; /,
    )
    expect(textOf(letter)).toContain('- A: Probably the door of Dry room stood open from 21:57 to 23:29. The dew point')
    expect(textOf(letter)).toContain('authorises no dip and no pour')
    expect(textOf(letter)).not.toContain('nvented')
    expect(textOf(letter)).not.toContain('is late')
  })

  it('says in the subject and above everything that a foundry is invented', () => {
    const { letter } = letterOf('Dry room', { site: { name: 'Test', invented: true } })
    expect(letter.subject).toMatch(/^\[Invented\] Night of/)
    expect(textOf(letter)).toMatch(/^Invented foundry – demonstration\./)
    expect(htmlOf(letter)).toContain('<strong>Invented foundry')
  })

  it('says why it is late', () => {
    const late = { dueAt: dawn, wasOff: true }
    const text = (wasOff: boolean) =>
      textOf(letterOf('Dry room', { now: dawn + 4 * hourMs, late: { ...late, wasOff } }).letter)
    expect(text(true)).toContain('This mail is late: it was due at 07:30, when Cirewatch itself did not run.')
    expect(text(false)).toContain('This mail is late: it was due at 07:30 and could not be sent then.')
  })

  it('links the page where its address is known', () => {
    const { letter } = letterOf('Dry room', { link: 'https://c.example.org/night/2026-06-10' })
    expect(textOf(letter)).toContain('The page: https://c.example.org/night/2026-06-10')
    expect(htmlOf(letter)).toContain('href="https://c.example.org/night/2026-06-10"')
  })

  it('keeps a name on one line: no break reaches a header, nothing turns the direction of reading', () => {
    const { letter } = letterOf('Room\r\nBcc: thief@example.org\u2028\u202egnp', { now: dawn + minuteMs })
    const all = [letter.subject, letter.title, ...letter.top, ...letter.parts.flatMap((p) => [p.title, ...p.lines])]
    for (const line of all) expect(line).not.toMatch(/[\p{Cc}\u2028\u2029\u202e]/u)
    expect(letter.subject).toContain('Room Bcc: thief@example.org gnp')
    expect(oneLine(' a\tb\n\nc\u0000 ')).toBe('a b c')
  })

  it('escapes a name in HTML', () => {
    const html = htmlOf(letterOf('<img src=x onerror="alert(1)">&\'').letter)
    expect(html).not.toContain('<img')
    expect(html).toContain('&lt;img src=x onerror=&quot;alert(1)&quot;&gt;&amp;&#39;')
  })
})
