/** A real mail server on loopback: what it took, whom it refuses, and how it can fail. */
import PostalMime, { type Email } from 'postal-mime'
import { SMTPServer, type SMTPServerOptions } from 'smtp-server'
import { onTestFinished } from 'vitest'

/** One mail as it came: to whom, and what the bytes say to another reader than the one who wrote them. */
export interface Taken {
  to: string[]
  from: string
  raw: string
  mail: Email
  wasEncrypted: boolean
}

export interface ServerWish {
  options?: SMTPServerOptions
  /** Name and password it wants. */
  who?: { name: string; password: string }
  /** Answer to a recipient; null takes it. */
  recipient?: (address: string) => { code: number; says: string } | null
  /** Called with the whole mail before it is taken. */
  before?: (taken: Taken) => Promise<void> | void
  port?: number
}

export interface MailServer {
  port: number
  taken: Taken[]
  /** Connections so far. */
  connections: () => number
  close(): Promise<void>
}

const failure = (code: number, says: string) => Object.assign(new Error(says), { responseCode: code })

export async function mailServer(wish: ServerWish = {}): Promise<MailServer> {
  const taken: Taken[] = []
  let connections = 0
  const server = new SMTPServer({
    disabledCommands: ['STARTTLS'],
    authOptional: wish.who === undefined,
    allowInsecureAuth: true,
    disableReverseLookup: true,
    closeTimeout: 100,
    ...wish.options,
    onConnect(_session, done) {
      connections++
      done()
    },
    onAuth({ username, password }, _session, done) {
      const isRight = username === wish.who?.name && password === wish.who?.password
      // A rude server that says the password aloud.
      done(isRight ? null : failure(535, `5.7.8 no such login ${password}`), { user: username })
    },
    onRcptTo({ address }, _session, done) {
      const refusal = wish.recipient?.(address) ?? null
      done(refusal === null ? null : failure(refusal.code, refusal.says))
    },
    onData(stream, session, done) {
      const pieces: Buffer[] = []
      stream.on('data', (piece: Buffer) => pieces.push(piece))
      stream.on('end', () => {
        const hold = async () => {
          const raw = Buffer.concat(pieces)
          const { mailFrom, rcptTo } = session.envelope
          const one: Taken = {
            to: rcptTo.map(({ address }) => address),
            from: mailFrom === false ? '' : mailFrom.address,
            raw: raw.toString('latin1'),
            mail: await PostalMime.parse(raw),
            wasEncrypted: session.secure,
          }
          await wish.before?.(one)
          taken.push(one)
        }
        hold().then(() => done(), done)
      })
    },
  })
  server.on('error', () => {})
  await new Promise<void>((resolve) => server.listen(wish.port ?? 0, '127.0.0.1', () => resolve()))
  const address = server.server.address()
  let isClosed = false
  const close = async () => {
    if (isClosed) return
    isClosed = true
    await new Promise<void>((resolve) => server.close(() => resolve()))
  }
  onTestFinished(close)
  return {
    port: typeof address === 'object' && address ? address.port : 0,
    taken,
    connections: () => connections,
    close,
  }
}
