/** The way to a mail server, against real ones on loopback: encrypted beyond this machine or not at all, and every failure one sentence. */
import { createServer, type Socket } from 'node:net'
import { describe, expect, it, onTestFinished } from 'vitest'
import { Post, PostFailure, type Posted } from '../../gateway/mail/post.ts'
import type { MailPlan } from '../../gateway/mail/settings.ts'
import { connect } from 'node:net'
import { selfSigned } from './certificate.ts'
import { mailServer } from './server.ts'

const noon = Date.UTC(2026, 11, 1, 12)
const name = 'mail.foundry.test'
const certificate = selfSigned(name, 'localhost')
const who = { name: 'house', password: 'open sesame 7' }
const tls = { ...certificate, secure: false, disabledCommands: [] as string[] }

function planFor(port: number, more: Partial<MailPlan['server']> & { who?: MailPlan['who'] } = {}): MailPlan {
  const { who = null, ...server } = more
  return {
    server: { host: '127.0.0.1', port, isTls: false, isLocal: true, ...server },
    who,
    from: 'house@foundry.test',
    to: ['ada@foundry.test', 'bo@foundry.test'],
    at: '07:00',
    unit: 'C',
    pages: null,
  }
}

/** The same server, seen under the name of one elsewhere. */
const elsewhere = (port: number, ca?: string): ConstructorParameters<typeof Post>[1] => ({
  getSocket: (_options, done) => {
    const connection = connect(port, '127.0.0.1', () => done(null, { connection }))
  },
  tls: { servername: name, ...(ca !== undefined && { ca }) },
})

function send(post: Post, signal = new AbortController().signal): Promise<Posted> {
  return post.send({
    message: {
      subject: 'Quiet night – “D2”',
      text: 'Quiet.\n.\nA line of one dot.\n',
      html: '<p>Quiet.</p>',
      attached: [{ name: 'night.csv', type: 'text/csv; charset=utf-8', text: 'a,b\r\n1,2\r\n' }],
    },
    senderName: 'Cirewatch, Gießerei',
    at: noon,
    messageId: '<night-1@foundry.test>',
    to: ['ada@foundry.test', 'bo@foundry.test'],
    signal,
  })
}

async function sentence(sending: Promise<unknown>): Promise<string> {
  const failure = await sending.then(
    () => null,
    (error: unknown) => error,
  )
  expect(failure).toBeInstanceOf(PostFailure)
  const { message } = failure as PostFailure
  expect(message).not.toMatch(/sesame|\n/)
  expect(message).toMatch(/^The mail server .*\.$/)
  return message
}

describe('a mail on its way', () => {
  it('arrives as it was written, with its Message-ID and marked as sent by itself', async () => {
    const server = await mailServer()
    expect(await send(new Post(planFor(server.port)))).toEqual({
      taken: ['ada@foundry.test', 'bo@foundry.test'],
      refused: [],
    })
    const [one] = server.taken
    expect(one?.to).toEqual(['ada@foundry.test', 'bo@foundry.test'])
    expect(one?.mail).toMatchObject({
      subject: 'Quiet night – “D2”',
      messageId: '<night-1@foundry.test>',
      from: { name: 'Cirewatch, Gießerei', address: 'house@foundry.test' },
      date: '2026-12-01T12:00:00.000Z',
    })
    expect(one?.mail.text).toContain('Quiet.\n.\nA line of one dot.')
    expect(one?.raw).toMatch(/^Auto-Submitted: auto-generated\r$/m)
    const [csv] = one?.mail.attachments ?? []
    expect(csv?.filename).toBe('night.csv')
    expect(Buffer.from(csv?.content as ArrayBuffer).toString()).toBe('a,b\r\n1,2\r\n')
  })

  it('gives the name and password to the server that wants them', async () => {
    const server = await mailServer({ who })
    expect((await send(new Post(planFor(server.port, { who })))).taken).toHaveLength(2)
  })
})

describe('beyond this machine', () => {
  it('a mail goes by STARTTLS, before name and password do', async () => {
    const server = await mailServer({ who, options: { ...tls, allowInsecureAuth: false } })
    const post = new Post(planFor(587, { host: name, isLocal: false, who }), elsewhere(server.port, certificate.cert))
    expect((await send(post)).taken).toHaveLength(2)
    expect(server.taken[0]?.wasEncrypted).toBe(true)
  })

  it('or encrypted from the first byte', async () => {
    const server = await mailServer({ who, options: { ...tls, secure: true } })
    const plan = planFor(465, { host: name, isLocal: false, isTls: true, who })
    expect((await send(new Post(plan, elsewhere(server.port, certificate.cert)))).taken).toHaveLength(2)
    expect(server.taken[0]?.wasEncrypted).toBe(true)
  })

  it('never to a server that offers no encryption, and no password is sent to it', async () => {
    const server = await mailServer({ who })
    const post = new Post(planFor(587, { host: name, isLocal: false, who }), elsewhere(server.port))
    expect(await sentence(send(post))).toMatch(
      /mail.foundry.test:587 offers no encryption .* use a server with STARTTLS/,
    )
    expect(server.taken).toEqual([])
  })

  it.each([[false], [true]])(
    'never to one whose certificate nobody signed (from the first byte: %s)',
    async (isTls) => {
      const server = await mailServer({ options: { ...tls, secure: isTls } })
      const post = new Post(planFor(587, { host: name, isLocal: false, isTls }), elsewhere(server.port))
      expect(await sentence(send(post))).toMatch(/certificate that cannot be believed .*NODE_EXTRA_CA_CERTS/)
      expect(server.taken).toEqual([])
    },
  )

  it('nor to one whose certificate names another', async () => {
    const other = selfSigned('other.test')
    const server = await mailServer({ options: { ...tls, ...other } })
    const post = new Post(planFor(587, { host: name, isLocal: false }), elsewhere(server.port, other.cert))
    expect(await sentence(send(post))).toMatch(/certificate that cannot be believed/)
  })
})

describe('what goes wrong', () => {
  it('a wrong password is told without it, though the server says it aloud, and is lasting', async () => {
    const server = await mailServer({ who: { ...who, password: 'another' } })
    const sending = send(new Post(planFor(server.port, { who })))
    expect(await sentence(sending)).toMatch(
      /did not accept the name and password .*5\.7\.8.*check mailName and mailPassword/,
    )
    await expect(sending).rejects.toMatchObject({ isLasting: true })
  })

  it('a server that wants no name where one is set is not mailed to without it', async () => {
    const server = await mailServer({ options: { disabledCommands: ['STARTTLS', 'AUTH'] } })
    expect(await sentence(send(new Post(planFor(server.port, { who }))))).toMatch(/name and password|could not be used/)
    expect(server.taken).toEqual([])
  })

  it('a server that is not there, and a name that nobody knows', async () => {
    const server = await mailServer()
    await server.close()
    const sending = send(new Post(planFor(server.port)))
    expect(await sentence(sending)).toMatch(/cannot be reached.*ECONNREFUSED/)
    await expect(sending).rejects.toMatchObject({ isLasting: false })
    const nowhere = planFor(587, { host: 'nowhere.invalid', isLocal: false })
    expect(await sentence(send(new Post(nowhere)))).toMatch(/not known by that name|cannot be reached/)
  })

  it('a server that never says a word is given up when it is told to be', async () => {
    const sockets: Socket[] = []
    const mute = createServer((socket) => void sockets.push(socket.on('error', () => {}))).listen(0, '127.0.0.1')
    onTestFinished(() => {
      for (const socket of sockets) socket.destroy()
      mute.close()
    })
    await new Promise((resolve) => mute.once('listening', resolve))
    const { port } = mute.address() as { port: number }
    expect(await sentence(send(new Post(planFor(port)), AbortSignal.timeout(200)))).toMatch(/did not answer in time/)
  })

  it('one refused recipient is named, the other gets it', async () => {
    const server = await mailServer({
      recipient: (address) => (address.startsWith('bo') ? { code: 550, says: '5.1.1 no such person' } : null),
    })
    const { taken, refused } = await send(new Post(planFor(server.port)))
    expect(taken).toEqual(['ada@foundry.test'])
    expect(refused).toEqual([
      {
        address: 'bo@foundry.test',
        isLasting: true,
        sentence: expect.stringContaining('bo@foundry.test (it said: 550'),
      },
    ])
    expect(server.taken.map(({ to }) => to)).toEqual([['ada@foundry.test']])
  })

  it('a server that asks everybody to come again later is heard for each', async () => {
    const server = await mailServer({ recipient: () => ({ code: 450, says: '4.2.0 come again' }) })
    const { taken, refused } = await send(new Post(planFor(server.port)))
    expect(taken).toEqual([])
    expect(refused.map(({ isLasting }) => isLasting)).toEqual([false, false])
  })

  it('a server that refuses the mail itself', async () => {
    const server = await mailServer({
      before: () => {
        throw Object.assign(new Error('5.7.1 too many words'), { responseCode: 554 })
      },
    })
    expect(await sentence(send(new Post(planFor(server.port))))).toMatch(/did not take the mail \(it said: 554/)
  })
})
