/** The way to a mail server: one message to some recipients over SMTP (RFC 5321), encrypted unless it stays on this machine. */
import { createTransport } from 'nodemailer'
import type { EpochMs } from '../../shared/time.ts'
import { mailSilenceMsMax } from '../../shared/contract/index.ts'
import type { Message } from './message.ts'
import type { MailPlan } from './settings.ts'
import { answerOf, isLasting, type MailError, whyNot } from './why.ts'

/** A message that nobody took; the message is one sentence for a person. */
export class PostFailure extends Error {
  override readonly name = 'PostFailure'
  /** True where the answer will be the same until somebody changes something. */
  readonly isLasting: boolean

  constructor(sentence: string, lasting: boolean) {
    super(sentence)
    this.isLasting = lasting
  }
}

export interface Refused {
  address: string
  isLasting: boolean
  sentence: string
}

export interface Posted {
  taken: string[]
  refused: Refused[]
}

export interface Sending {
  message: Message
  /** Written before the address of the sender. */
  senderName: string
  at: EpochMs
  /** The same for every try of one mail, so that a mailbox that got it twice can tell; absent where one is made. */
  messageId?: string
  /** Some of those to whom the mail is addressed. */
  to: readonly string[]
  /** Gives it up. */
  signal: AbortSignal
}

type Transport = Exclude<Parameters<typeof createTransport>[0], string | undefined>
/** How the server is reached otherwise than by its name, and whom its certificate is signed by. */
export type Detour = Pick<Extract<Transport, { host?: unknown }>, 'getSocket' | 'tls'>

export class Post {
  readonly #plan: MailPlan
  readonly #transport

  constructor(plan: MailPlan, detour: Detour = {}) {
    const { server, who } = plan
    this.#plan = plan
    this.#transport = createTransport({
      host: server.host,
      port: server.port,
      secure: server.isTls,
      // Between a program and a relay on the same machine nobody can listen, and its certificate seldom names it.
      ...(server.isLocal && !server.isTls ? { tls: { rejectUnauthorized: false } } : { requireTLS: true }),
      ...(who && { auth: { user: who.name, pass: who.password }, forceAuth: true }),
      connectionTimeout: mailSilenceMsMax,
      greetingTimeout: mailSilenceMsMax,
      socketTimeout: mailSilenceMsMax,
      disableFileAccess: true,
      disableUrlAccess: true,
      ...detour,
    })
  }

  /** Resolves with who took it, where anybody did or the server spoke of each recipient; rejects with a PostFailure. */
  async send({ message, senderName, at, messageId, to, signal }: Sending): Promise<Posted> {
    const { from, to: everybody } = this.#plan
    try {
      const { accepted, rejectedErrors = [] } = await this.#transport.sendMail({
        from: { name: senderName, address: from },
        to: [...everybody],
        envelope: { from, to: [...to] },
        subject: message.subject,
        text: message.text,
        html: message.html,
        date: new Date(at),
        ...(messageId !== undefined && { messageId }),
        // So that no holiday note answers it (RFC 3834).
        headers: { 'Auto-Submitted': 'auto-generated' },
        attachments: message.attached.map(({ name, type, text }) => ({
          filename: name,
          contentType: type,
          content: text,
        })),
        signal,
      })
      return { taken: to.filter((one) => accepted.includes(one)), refused: this.#refusals(rejectedErrors) }
    } catch (error) {
      const told = error as MailError & { rejectedErrors?: (MailError & { recipient?: string })[] }
      const refused = this.#refusals(told.rejectedErrors ?? [])
      if (refused.length > 0) return { taken: [], refused }
      throw new PostFailure(whyNot(told, this.#plan), isLasting(told))
    }
  }

  #refusals(errors: readonly (MailError & { recipient?: string | undefined })[]): Refused[] {
    return errors.flatMap(({ recipient, response, responseCode = 0, message }) =>
      recipient === undefined
        ? []
        : [
            {
              address: recipient,
              isLasting: responseCode >= 500,
              sentence: `The mail server does not take mail for ${recipient} (it said: ${answerOf(response ?? message, this.#plan.who)}).`,
            },
          ],
    )
  }
}
