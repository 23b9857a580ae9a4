/** The built gateway, killed: a mail that is written down is not sent again; one whose answer was not heard is, under the same Message-ID. */
import { createServer, type Socket } from 'node:net'
import { join } from 'node:path'
import mqtt from 'mqtt'
import { describe, expect, it, onTestFinished } from 'vitest'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { Foundry } from '../../shared/contract/index.ts'
import { hourMs } from '../../shared/time.ts'
import { timeOfDay } from '../../shared/words/index.ts'
import { smallFoundry } from '../helpers/gateway.ts'
import { type GatewayChild, startChild } from '../helpers/gateway-child.ts'
import { pause, until } from '../helpers/patience.ts'
import { freshFolder } from '../store/folder.ts'
import { mailServer } from './server.ts'

const now = Date.now()
const hour = timeOfDay(now - hourMs, { timeZone: 'UTC' })

/** Data of a gateway whose mail was switched on three hours ago, and whose hour came one hour ago while it did not run. */
async function dataOfOneThatSlept(): Promise<string> {
  const data = freshFolder()
  const { site, ...rest } = smallFoundry()
  const foundry = Foundry.parse({
    ...rest,
    site: { ...site, timeZone: 'UTC', night: { dusk: '22:00', dawn: '00:01' } },
  })
  const store = await openSqliteStore(join(data, 'cirewatch.db'))
  await store.append([
    { kind: 'foundry', at: now - 3 * hourMs, revision: 1, foundry },
    { kind: 'mailing', at: now - 3 * hourMs, on: true },
  ])
  await store.close()
  return data
}

async function start(data: string, port: number): Promise<GatewayChild> {
  const environment = {
    CIREWATCH_MAIL: `smtp://127.0.0.1:${port}`,
    CIREWATCH_MAIL_FROM: 'house@foundry.test',
    CIREWATCH_MAIL_TO: 'ada@foundry.test',
    CIREWATCH_MAIL_AT: hour,
    CIREWATCH_MAIL_NAME: 'house',
    CIREWATCH_MAIL_PASSWORD: 'open sesame 7',
  }
  const child = await startChild({ data, environment })
  onTestFinished(async () => void (await child.stop('SIGKILL')))
  return child
}

const who = { name: 'house', password: 'open sesame 7' }

describe('a gateway that is killed', () => {
  it('before it heard that the mail was taken sends it again, recognisably; after that never', async () => {
    const data = await dataOfOneThatSlept()
    let child: GatewayChild | null = null
    const ids: (string | undefined)[] = []
    const server = await mailServer({
      who,
      async before({ mail }) {
        ids.push(mail.messageId)
        if (ids.length === 1) await child?.stop('SIGKILL')
      },
    })
    child = await start(data, server.port)
    await until('the first mail has come', () => ids.length === 1)
    child = await start(data, server.port)
    await until('it has come again', () => server.taken.length === 2)
    expect(ids[1]).toBe(ids[0])
    expect(server.taken[1]?.mail.text).toContain('when Cirewatch itself did not run')
    await until('it is written down', () => child?.said().includes('was taken for 1 of 1') ?? false)
    await child.stop('SIGKILL')
    const third = await start(data, server.port)
    await pause(4_000)
    expect(ids).toHaveLength(2)
    expect(third.said()).not.toContain('sesame')
  }, 60_000)

  it('takes readings and stops in good time while a mail server holds its tongue', async () => {
    const data = await dataOfOneThatSlept()
    const sockets: Socket[] = []
    const mute = createServer((socket) => void sockets.push(socket.on('error', () => {}))).listen(0, '127.0.0.1')
    onTestFinished(() => {
      for (const socket of sockets) socket.destroy()
      mute.close()
    })
    await new Promise((resolve) => mute.once('listening', resolve))
    const child = await start(data, (mute.address() as { port: number }).port)
    await until('it is connected', () => sockets.length > 0)
    const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${child.mqttPort}`)
    const asked = Date.now()
    await client.publishAsync('cirewatch/pot-mid/reading', JSON.stringify({ celsius: 160 }), { qos: 1 })
    const alarms = async () => (await fetch(`${child.http}/api/v1/alarms`)).text()
    await until('the pot is judged', async () => (await alarms()).includes('above-ceiling'))
    expect(Date.now() - asked).toBeLessThan(3_000)
    await client.endAsync(true)
    const begun = Date.now()
    expect(await child.stop('SIGTERM')).toBe(0)
    expect(Date.now() - begun).toBeLessThan(8_000)
  }, 60_000)
})
