/** `test-mail`: whoever sets the mail up sees at once whether it works, or in one sentence why not. */
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { describe, expect, it } from 'vitest'
import { freshFolder } from '../store/folder.ts'
import { selfSigned } from './certificate.ts'
import { mailServer } from './server.ts'

const command = join(import.meta.dirname, '../../build/gateway/command.js')

interface Ended {
  code: number | null
  out: string
  err: string
}

async function testMail(flags: readonly string[], environment: Record<string, string> = {}): Promise<Ended> {
  const own = Object.entries(process.env).filter(([name]) => !name.startsWith('CIREWATCH_'))
  const env = { ...Object.fromEntries(own), ...environment }
  const child = spawn(process.execPath, [command, 'test-mail', ...flags], { env, stdio: ['ignore', 'pipe', 'pipe'] })
  const ended: Ended = { code: null, out: '', err: '' }
  child.stdout.on('data', (bytes) => (ended.out += bytes))
  child.stderr.on('data', (bytes) => (ended.err += bytes))
  const [code] = (await once(child, 'close')) as [number | null]
  return { ...ended, code }
}

const to = ['--mail-from', 'house@foundry.test', '--mail-to', 'ada@foundry.test,bo@foundry.test']

describe('test-mail', () => {
  it('sends a test to everybody and says who took it', async () => {
    const server = await mailServer()
    const ended = await testMail(['--mail', `smtp://localhost:${server.port}`, ...to])
    expect(ended).toEqual({
      code: 0,
      err: '',
      out: `localhost:${server.port} took the test for 2 of two recipients.\n`,
    })
    expect(server.taken[0]?.mail.subject).toBe('Cirewatch: a test of the mail of the night')
    expect(server.taken[0]?.mail.text).toContain('It authorises no dip and no pour')
  })

  it('names whom the server refuses', async () => {
    const server = await mailServer({
      recipient: (address) => (address.startsWith('bo') ? { code: 550, says: 'no such person' } : null),
    })
    const { code, err, out } = await testMail(['--mail', `smtp://localhost:${server.port}`, ...to])
    expect(code).toBe(1)
    expect(err).toMatch(/does not take mail for bo@foundry.test .*no such person/)
    expect(out).toMatch(/took the test for 1 of two recipients/)
  })

  it('believes a certificate only where its authority is known to Node', async () => {
    const { key, cert } = selfSigned('localhost')
    const server = await mailServer({ options: { key, cert, secure: true } })
    const file = join(freshFolder(), 'authority.pem')
    writeFileSync(file, cert)
    const flags = ['--mail', `smtps://localhost:${server.port}`, ...to]
    const refused = await testMail(flags)
    expect(refused.code).toBe(1)
    expect(refused.err).toMatch(/^The mail server localhost:\d+ shows a certificate that cannot be believed .*\.\n$/)
    expect((await testMail(flags, { NODE_EXTRA_CA_CERTS: file })).code).toBe(0)
    expect(server.taken.map(({ wasEncrypted }) => wasEncrypted)).toEqual([true])
  })

  it('says what to set where nothing is', async () => {
    expect(await testMail([])).toMatchObject({ code: 2, err: expect.stringMatching(/^No mail server is set: .*\n$/) })
    const half = await testMail(['--mail', 'smtp://mail.example.org'])
    expect(half).toMatchObject({ code: 78, err: expect.stringMatching(/CIREWATCH_MAIL_TO/) })
  })
})
