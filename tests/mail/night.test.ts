/** The mail of the night from a whole gateway to a real server: at its hour, once, over restarts and failures, and nobody waits for it. */
import { describe, expect, it } from 'vitest'
import { nightCsv } from '../../gateway/record/night/night-csv.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import type { Store } from '../../gateway/store/store.ts'
import { memoryStore } from '../../gateway/store/memory.ts'
import type { KeepingBody, NightReview } from '../../shared/contract/index.ts'
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts'
import { lastMailSays, mailSays, mailTroubleSays } from '../../shared/words/index.ts'
import { smallFoundry, startGateway, type TestGateway } from '../helpers/gateway.ts'
import { join } from 'node:path'
import { freshFolder } from '../store/folder.ts'
import { mailServer } from './server.ts'

/** London in winter: local time is UTC. Dawn of the small foundry is at 07:30. */
const noon = Date.UTC(2026, 10, 25, 12)
const due = Date.UTC(2026, 10, 26, 8)
const beforeDue = due - 10 * minuteMs
const who = { name: 'house', password: 'open sesame 7' }
const speech = { timeZone: 'Europe/London' }

/** A store that outlives its gateway: closing is for the end of the test. */
function lasting(store: Store): Store {
  return new Proxy(store, {
    get: (target, key) => {
      if (key === 'close') return async () => {}
      const value = Reflect.get(target, key) as unknown
      return typeof value === 'function' ? value.bind(target) : value
    },
  })
}

interface More {
  at?: number
  store?: Store
  flags?: string[]
  to?: string
  isOff?: boolean
}

function start(port: number, more: More = {}): Promise<TestGateway> {
  const flags = ['--mail', `smtp://127.0.0.1:${port}`, '--mail-from', 'house@foundry.test', '--mail-at', '08:00']
  const to = ['--mail-to', more.to ?? 'ada@foundry.test,bo@foundry.test']
  return startGateway({
    at: more.at ?? beforeDue,
    foundry: smallFoundry(),
    ...(more.store && { store: more.store }),
    flags: more.isOff ? [] : [...flags, ...to, ...(more.flags ?? [])],
  })
}

const keeping = async (gateway: TestGateway) => (await gateway.ask<KeepingBody>('/api/v1/keeping')).body
const mailed = async (store: Store) => (await store.newest('mailed', 100)).reverse()

/** The room's air through a night, every ten minutes: too damp from ten to midnight. */
async function speak(gateway: TestGateway): Promise<void> {
  const from = noon + 3 * hourMs
  const reading = (t: number) => {
    const isDamp = t >= noon + 10 * hourMs && t < noon + 12 * hourMs
    return { at: t, celsius: 22, relativeHumidity: isDamp ? 58 : 45 }
  }
  for (let t = from; t < due; t += 20_000 * 90) {
    await gateway.lead(t + 1_000)
    const backlog = Array.from({ length: 90 }, (_, i) => reading(t - (89 - i) * 20_000)).filter(({ at }) => at >= from)
    await gateway.publish('room-air', backlog)
  }
}

describe('the mail of the night', () => {
  it('comes at its hour with the brief, the night in words, CSV and JSON, marked as invented', async () => {
    const server = await mailServer()
    const gateway = await start(server.port, {
      at: noon,
      flags: ['--public-address', 'https://cirewatch.foundry.test/'],
    })
    await speak(gateway)
    await gateway.lead(due - minuteMs)
    expect(server.taken).toEqual([])
    await gateway.lead(due + minuteMs)
    expect(server.taken).toHaveLength(1)
    const [one] = server.taken
    expect(one?.to).toEqual(['ada@foundry.test', 'bo@foundry.test'])
    const { mail } = one as NonNullable<typeof one>
    expect(mail.subject).toMatch(/^\[Invented\] Night of Wed 25 Nov to Thu 26 Nov: (Quiet until|Nobody can say)/)
    expect(mail.from?.name).toBe('Cirewatch, Test foundry')
    expect(mail.text).toMatch(/^Invented foundry – demonstration\./)
    expect(mail.text).toContain('Room humidity above its band')
    expect(mail.text).toContain('The page: https://cirewatch.foundry.test/night/2026-11-25')
    expect(mail.text).toContain('It authorises no dip and no pour')
    expect(mail.html).toContain('<a href="https://cirewatch.foundry.test/night/2026-11-25">')
    const files = new Map(mail.attachments.map((a) => [a.filename, Buffer.from(a.content as ArrayBuffer).toString()]))
    const { body } = await gateway.ask<NightReview>('/api/v1/nights/2026-11-25')
    const review = JSON.parse(files.get('night-2026-11-25.json') ?? '') as NightReview
    expect(review.night.date).toBe('2026-11-25')
    expect(review.rooms.map((r) => r.lines.map((l) => l.excursions))).toEqual(
      body.rooms.map((r) => r.lines.map((l) => l.excursions)),
    )
    const csv = files.get('night-2026-11-25.csv')
    expect(csv).toBe(nightCsv(review))
    expect(csv).toMatch(/,room,excursion,room-air.humidity,above,58,/)
    const told = (await keeping(gateway)).mail
    expect(told).toMatchObject({ recipients: 2, nextAt: due + dayMs, trouble: null, againAt: null })
    expect(mailSays(told)).toBe('The review of the night is mailed to two recipients.')
    expect(lastMailSays(told?.last ?? never(), due + hourMs, speech)).toBe(
      'Of the night that began on 2026-11-25 the mail for two recipients was taken at 08:00.',
    )
  }, 120_000)

  it('is not followed by another when late readings amend the night: the page says so', async () => {
    const server = await mailServer()
    const gateway = await start(server.port)
    await gateway.lead(due + minuteMs)
    await gateway.publish('room-air', [{ at: due - 5 * hourMs, celsius: 22, relativeHumidity: 45 }])
    await gateway.lead(due + hourMs)
    const { body } = await gateway.ask<NightReview>('/api/v1/nights/2026-11-25')
    expect(body.amended?.readings).toBe(2)
    expect(server.taken).toHaveLength(1)
    expect(server.taken[0]?.mail.text).toContain('the page says so then, no second mail does')
  })

  it('is one a night and no more', async () => {
    const server = await mailServer()
    const gateway = await start(server.port)
    for (let t = beforeDue; t < due + 2 * dayMs + 6 * hourMs; t += 6 * hourMs) await gateway.lead(t)
    expect(server.taken.map(({ mail }) => mail.messageId?.slice(0, 17))).toEqual(
      ['25', '26', '27'].map((d) => `<night-2026-11-${d}`),
    )
  }, 120_000)

  it('is off by default, and says so', async () => {
    const gateway = await start(1, { isOff: true })
    await gateway.lead(due + minuteMs)
    const { mail } = await keeping(gateway)
    expect(mail).toBeNull()
    expect(mailSays(mail)).toBe('No mail is sent.')
  })
})

function never(): never {
  throw new Error('There is no mail that was sent.')
}

describe('a gateway that stops and starts', () => {
  it('sends nothing twice', async () => {
    const server = await mailServer()
    const store = await openSqliteStore(join(freshFolder(), 'cirewatch.db'))
    const first = await start(server.port, { store: lasting(store) })
    await first.lead(due + minuteMs)
    await first.close()
    const second = await start(server.port, { store: lasting(store), at: due + hourMs })
    await second.lead(due + 3 * hourMs)
    await second.close()
    expect(server.taken).toHaveLength(1)
    expect(await mailed(store)).toMatchObject([
      { night: '2026-11-25', taken: ['ada@foundry.test', 'bo@foundry.test'], waiting: [], refused: [] },
    ])
    await store.close()
  })

  it('that slept through the hour sends when it is back, and says so', async () => {
    const server = await mailServer()
    const store = memoryStore()
    const first = await start(server.port, { store: lasting(store) })
    await first.lead(beforeDue + minuteMs)
    await first.close()
    const second = await start(server.port, { store: lasting(store), at: due + 5 * hourMs })
    await second.lead(due + 5 * hourMs + minuteMs)
    expect(server.taken).toHaveLength(1)
    expect(server.taken[0]?.mail.text).toContain(
      'This mail is late: it was due at 08:00, when Cirewatch itself did not run.',
    )
  })

  it('that slept for longer than a day sends only the night that is news', async () => {
    const server = await mailServer()
    const store = memoryStore()
    const first = await start(server.port, { store: lasting(store) })
    await first.lead(beforeDue + minuteMs)
    await first.close()
    const second = await start(server.port, { store: lasting(store), at: due + 3 * dayMs - hourMs })
    await second.lead(due + 3 * dayMs - hourMs + minuteMs)
    expect(server.taken.map(({ mail }) => mail.messageId?.slice(0, 17))).toEqual(['<night-2026-11-27'])
  })

  it('sends no night whose hour had come before it was switched on, also not where it was off between', async () => {
    const server = await mailServer()
    const store = memoryStore()
    const on = await start(server.port, { store: lasting(store), at: due + hourMs })
    await on.lead(due + 2 * hourMs)
    await on.close()
    const off = await start(server.port, { store: lasting(store), at: due + 20 * hourMs, isOff: true })
    await off.lead(due + 20 * hourMs + minuteMs)
    await off.close()
    const again = await start(server.port, { store: lasting(store), at: due + dayMs + 2 * hourMs })
    await again.lead(due + dayMs + 3 * hourMs)
    expect(server.taken).toEqual([])
    await again.lead(due + 2 * dayMs + minuteMs)
    expect(server.taken.map(({ mail }) => mail.messageId?.slice(0, 17))).toEqual(['<night-2026-11-27'])
    expect((await store.newest('mailing', 9)).map(({ on }) => on)).toEqual([true, false, true])
  })

  it('whose clock is wrong waits for the time', async () => {
    const server = await mailServer()
    const gateway = await startGateway({
      at: beforeDue,
      builtAt: noon + 30 * dayMs,
      flags: ['--mail', `smtp://127.0.0.1:${server.port}`, '--mail-from', 'a@x.org', '--mail-to', 'b@x.org'],
    })
    await gateway.lead(due + hourMs)
    expect(server.taken).toEqual([])
    expect((await keeping(gateway)).mail).toMatchObject({
      nextAt: null,
      held: expect.stringContaining('set its clock'),
    })
  })
})

describe('what fails', () => {
  it('a server that is down is tried again, less and less often, told on the page, and gets it when it is up', async () => {
    const down = await mailServer()
    await down.close()
    const gateway = await start(down.port)
    await gateway.lead(due + 20 * minuteMs)
    const { mail, now } = await keeping(gateway)
    expect(mail?.trouble).toMatch(/cannot be reached/)
    expect(mailTroubleSays(mail ?? never(), now, speech)).toMatch(/It is tried again at 08:\d\d\.$/)
    // Readings are taken and judged meanwhile.
    await gateway.publish('pot-mid', { at: due + 20 * minuteMs, celsius: 90 })
    const up = await mailServer({ port: down.port })
    await gateway.lead(due + 2 * hourMs)
    expect(up.taken).toHaveLength(1)
    expect(up.taken[0]?.mail.text).toContain('it was due at 08:00 and could not be sent then')
    expect((await keeping(gateway)).mail).toMatchObject({ trouble: null, againAt: null, last: { taken: 2 } })
  })

  it('is given up after a day, and the journal says so', async () => {
    const server = await mailServer({ options: { onMailFrom: (_address, _session, done) => done(busy()) } })
    const store = memoryStore()
    const gateway = await start(server.port, { store: lasting(store) })
    for (let t = due; t <= due + 23 * hourMs; t += hourMs) await gateway.lead(t)
    expect(server.connections()).toBeGreaterThan(20)
    expect(server.connections()).toBeLessThan(40)
    expect(await mailed(store)).toEqual([])
    await gateway.lead(due + dayMs + minuteMs)
    expect(await mailed(store)).toMatchObject([
      { night: '2026-11-25', taken: [], waiting: [], refused: ['ada@foundry.test', 'bo@foundry.test'] },
    ])
    expect(server.taken).toEqual([])
  }, 120_000)

  it('a wrong password is tried once an hour, for the account would be locked, and is shown nowhere', async () => {
    const server = await mailServer({ who: { ...who, password: 'another' } })
    const store = memoryStore()
    const flags = ['--mail-name', who.name, '--mail-password', who.password]
    const gateway = await start(server.port, { flags, store: lasting(store) })
    await gateway.lead(due + 150 * minuteMs)
    expect(server.connections()).toBe(3)
    const { mail } = await keeping(gateway)
    expect(mail?.trouble).toMatch(/did not accept the name and password/)
    const everything = JSON.stringify([await keeping(gateway), await store.journal(0, 10_000)])
    expect(everything).not.toContain('sesame')
  })

  it('a refused recipient is tried three times, then given up by name; nobody else gets it again', async () => {
    const refusal = { code: 550, says: '5.1.1 no such person' }
    const server = await mailServer({ recipient: (address) => (address.startsWith('bo') ? refusal : null) })
    const store = memoryStore()
    const gateway = await start(server.port, { store: lasting(store) })
    await gateway.lead(due + minuteMs)
    const { mail } = await keeping(gateway)
    expect(mail?.trouble).toContain('does not take mail for bo@foundry.test')
    await gateway.lead(due + 10 * hourMs)
    expect(server.connections()).toBe(3)
    expect(server.taken.map(({ to }) => to)).toEqual([['ada@foundry.test']])
    expect((await mailed(store)).at(-1)).toMatchObject({
      taken: ['ada@foundry.test'],
      waiting: [],
      refused: ['bo@foundry.test'],
    })
    expect(lastMailSays((await keeping(gateway)).mail?.last ?? never(), due + hourMs, speech)).toContain(
      'bo@foundry.test got none and is given up',
    )
  })

  it('whoever is asked to come again gets it then, also from the next process, with the same Message-ID', async () => {
    let isBusy = true
    const later = { code: 450, says: '4.2.0 come again' }
    const server = await mailServer({ recipient: (a) => (isBusy && a.startsWith('bo') ? later : null) })
    const store = memoryStore()
    const first = await start(server.port, { store: lasting(store) })
    await first.lead(due + minuteMs)
    await first.close()
    isBusy = false
    const second = await start(server.port, {
      store: lasting(store),
      at: due + hourMs,
      to: 'new@x.org,bo@foundry.test',
    })
    await second.lead(due + hourMs + minuteMs)
    expect(server.taken.map(({ to }) => to)).toEqual([['ada@foundry.test'], ['bo@foundry.test']])
    expect(new Set(server.taken.map(({ mail }) => mail.messageId)).size).toBe(1)
  })
})

function busy(): Error {
  return Object.assign(new Error('4.3.2 busy'), { responseCode: 421 })
}

describe('a name that would be a header', () => {
  it('stays a name', async () => {
    const server = await mailServer()
    const foundry = smallFoundry()
    foundry.site.name = 'House\r\nBcc: thief@x.org'
    const room = foundry.stations.find(({ id }) => id === 'room')
    if (room) room.name = 'Room\r\nBcc: thief@x.org\r\n\r\n<script>alert(1)</script>'
    const gateway = await start(server.port)
    await gateway.ask('/api/v1/foundry', foundry, 'PUT')
    await gateway.lead(due + minuteMs)
    const [one] = server.taken
    expect(one?.to).toEqual(['ada@foundry.test', 'bo@foundry.test'])
    const { headers } = one?.mail ?? never()
    expect(headers.map(({ key }) => key)).not.toContain('bcc')
    expect(one?.mail.subject).toContain('Room Bcc: thief@x.org')
    expect(one?.mail.from?.name).toBe('Cirewatch, House Bcc: thief@x.org')
    expect(one?.mail.html).not.toContain('<script>')
    expect(one?.mail.html).toContain('&lt;script&gt;')
  })
})
