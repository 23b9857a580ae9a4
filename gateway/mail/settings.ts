/** Settings of the nightly mail: to which server, as whom, to whom, at which hour. What could show a password to somebody is refused. */
import { z } from 'zod'
import { mailRecipientsMax } from '../../shared/contract/index.ts'
import { isLoopback } from '../loopback.ts'

export interface MailServer {
  host: string
  port: number
  /** Encrypted from the first byte; else by STARTTLS, which only a server on this machine may do without. */
  isTls: boolean
  isLocal: boolean
}

const schemes: Record<string, { port: number; isTls: boolean }> = {
  'smtp:': { port: 587, isTls: false },
  'smtps:': { port: 465, isTls: true },
}

/** The server that an address names, or why it names none. */
function serverOf(text: string): MailServer | string {
  let url: URL
  try {
    url = new URL(text)
  } catch {
    return 'must be an address such as smtp://mail.example.org:587'
  }
  if (url.username !== '' || url.password !== '')
    return 'must not hold a name or a password, which are shown with it; set mailName and mailPassword instead'
  const scheme = schemes[url.protocol]
  if (!scheme || url.hostname === '' || !/^\/?$/.test(url.pathname) || url.search !== '' || url.hash !== '')
    return 'must be smtp://HOST:PORT or smtps://HOST:PORT, for example smtp://mail.example.org:587'
  const host = url.hostname.replace(/^\[|\]$/g, '')
  const port = url.port === '' ? scheme.port : Number(url.port)
  if (port === schemes['smtps:']?.port && !scheme.isTls)
    return `names port ${port}, which is encrypted from the first byte; write smtps://${host}:${port}`
  if (port === schemes['smtp:']?.port && scheme.isTls)
    return `names port ${port}, which is encrypted by STARTTLS; write smtp://${host}:${port}`
  return { host, port, isTls: scheme.isTls, isLocal: isLoopback(host) }
}

const ServerText = z.string().transform((text, context): MailServer => {
  const server = serverOf(text)
  if (typeof server !== 'string') return server
  context.addIssue({ code: 'custom', message: server })
  return z.NEVER
})

const Address = z
  .string()
  .max(254, 'must not be longer than 254 letters')
  .regex(/^[^\s@<>()[\]\\,;:"]+@[^\s@<>()[\]\\,;:"]+$/, 'must be a plain address such as owner@example.org')

/** One text with commas where it comes from a flag or the environment, a list where it comes from a file. */
const Recipients = z.preprocess(
  (value) => (typeof value === 'string' ? value.split(',').map((one) => one.trim()) : value),
  z
    .array(Address)
    .min(1, 'must name somebody')
    .max(mailRecipientsMax, `may name at most ${mailRecipientsMax} recipients`)
    .transform((all) => [...new Set(all)]),
)

const PageAddress = z
  .string()
  .regex(
    /^https?:\/\/[^\s/?#@]+(\/[^\s?#]*)?$/,
    'must be the address at which recipients open Cirewatch, for example https://cirewatch.example.org',
  )
  .transform((text) => text.replace(/\/+$/, ''))

export const mailFields = {
  mail: ServerText.optional(),
  mailName: z.string().min(1).optional(),
  mailPassword: z.string().min(1).optional(),
  mailPasswordFile: z.string().min(1).optional(),
  mailFrom: Address.optional(),
  mailTo: Recipients.optional(),
  mailAt: z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'must be a time of day such as 07:00'),
  mailUnit: z.enum(['C', 'F']),
  publicAddress: PageAddress.optional(),
}

export const mailDefaults = { mailAt: '07:00', mailUnit: 'C' }

export type MailSettings = Omit<z.infer<z.ZodObject<typeof mailFields>>, 'mailPasswordFile'>

/** All that the mail of the night needs to know. */
export interface MailPlan {
  server: MailServer
  who: { name: string; password: string } | null
  from: string
  to: readonly string[]
  /** Time of day of the site; at dawn where that is later. */
  at: string
  unit: 'C' | 'F'
  /** Where recipients open the pages; null where nobody has said. */
  pages: string | null
}

/** Null where no server is set: then nothing is mailed. */
export function mailPlanOf(settings: MailSettings): MailPlan | null {
  const { mail, mailName, mailPassword, mailFrom, mailTo } = settings
  if (!mail || mailFrom === undefined || !mailTo) return null
  return {
    server: mail,
    who: mailName !== undefined && mailPassword !== undefined ? { name: mailName, password: mailPassword } : null,
    from: mailFrom,
    to: mailTo,
    at: settings.mailAt,
    unit: settings.mailUnit,
    pages: settings.publicAddress ?? null,
  }
}

/** Why settings that are each in order do not make a mail together; null where they do. */
export function mailRefusal(settings: MailSettings): string | null {
  const { mail, mailName, mailPassword, mailFrom, mailTo } = settings
  if (!mail) {
    const idle = (['mailTo', 'mailFrom', 'mailName', 'mailPassword'] as const).find(
      (key) => settings[key] !== undefined,
    )
    return idle === undefined
      ? null
      : `${idle} is set, but no mail would be sent: no server is named; set mail (CIREWATCH_MAIL), for example smtp://mail.example.org:587, or leave ${idle} out.`
  }
  if (!mailTo)
    return 'A mail server is set, but nobody to mail to; set mailTo (CIREWATCH_MAIL_TO), addresses with commas.'
  if (mailFrom === undefined)
    return 'A mail server is set, but no sender; set mailFrom (CIREWATCH_MAIL_FROM), an address that the server lets you use.'
  if ((mailName === undefined) !== (mailPassword === undefined))
    return 'A mail server wants a name and a password, or neither; set both mailName and mailPassword (or mailPasswordFile).'
  return null
}

/** The settings of the mail as they may be shown. */
export function shownMail(settings: MailSettings): Record<string, string> {
  const { mail } = settings
  return {
    mail: mail ? `${mail.isTls ? 'smtps' : 'smtp'}://${serverName(mail)}` : 'not set: nothing is mailed',
    mailName: settings.mailName ?? 'not set',
    mailPassword: settings.mailPassword === undefined ? 'not set' : 'set',
    mailFrom: settings.mailFrom ?? 'not set',
    mailTo: settings.mailTo?.join(', ') ?? 'not set',
    mailAt: settings.mailAt,
    mailUnit: settings.mailUnit,
    publicAddress: settings.publicAddress ?? 'not set',
  }
}

export function serverName({ host, port }: Pick<MailServer, 'host' | 'port'>): string {
  return `${host.includes(':') ? `[${host}]` : host}:${port}`
}
