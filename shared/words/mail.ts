/** The nightly mail as the page of what is kept tells it. */
import type { MailedLast, MailTold } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { oneLine } from './night-letter.ts'
import { count, listed, moment, type Speech } from './speech.ts'

/** The headline. */
export function mailSays(mail: MailTold | null): string {
  return mail === null
    ? 'No mail is sent.'
    : `The review of the night is mailed to ${count(mail.recipients, 'recipient')}.`
}

export function nextMailSays(mail: MailTold, now: EpochMs, speech: Pick<Speech, 'timeZone'>): string {
  const rule = `Each morning at ${mail.at}, or at dawn where that is later, by ${oneLine(mail.server)}.`
  return mail.nextAt === null
    ? `${mail.held ?? ''} ${rule}`.trim()
    : `${rule} Next at ${moment(mail.nextAt, now, speech)}.`
}

/** What became of the newest one. */
export function lastMailSays(last: MailedLast, now: EpochMs, speech: Pick<Speech, 'timeZone'>): string {
  const { night, at, taken, waiting, refused } = last
  const what = `Of the night that began on ${night}`
  const told = [
    ...(taken > 0 ? [`the mail for ${count(taken, 'recipient')} was taken at ${moment(at, now, speech)}`] : []),
    ...(waiting > 0 ? [`${count(waiting, 'recipient')} ${waiting === 1 ? 'waits' : 'wait'}`] : []),
    ...(refused.length > 0
      ? [`${listed(refused.map(oneLine), 3)} got none and ${refused.length === 1 ? 'is' : 'are'} given up`]
      : []),
  ]
  return told.length === 0 ? `${what} nobody is left to mail to.` : `${what} ${told.join('; ')}.`
}

/** Said where a try failed. */
export function mailTroubleSays(
  { trouble, againAt }: Pick<MailTold, 'trouble' | 'againAt'>,
  now: EpochMs,
  speech: Pick<Speech, 'timeZone'>,
): string | null {
  if (trouble === null) return null
  return againAt === null ? trouble : `${trouble} It is tried again at ${moment(againAt, now, speech)}.`
}
