/** A check over HTTP: held against ice, steam or another probe, told before it is kept, kept with who made it, or refused with what to do. */
import { describe, expect, it } from 'vitest'
import { memoryStore } from '../../gateway/store/memory.ts'
import type { Problem } from '../../shared/contract/index.ts'
import { boilingPointAt } from '../../shared/physics/fixedpoints.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'
import { smallFoundry, startGateway } from '../helpers/gateway.ts'
import { refusingStore } from '../helpers/refusing-store.ts'
import { checkOf, foundryWith, house, life, minuteOf, noon, one } from './instrument-kit.ts'

describe('a check', () => {
  it('against melting ice takes the last minute, is told before it is kept, and is kept with who made it', async () => {
    const g = await house({ 'pot-mid': { checkEveryDays: 30 } })
    await minuteOf(g, 'pot-mid', (n) => (n % 2 === 0 ? 1.3 : 1.5))
    const dry = await checkOf(g, 'pot-mid', { reference: 'ice-point', by: 'Ada', dryRun: true })
    expect(dry.status).toBe(200)
    expect(dry.body.check).toMatchObject({ isC: 0, readings: 12, from: noon - 55_000, to: noon })
    expect(dry.body.check?.readsC).toBeCloseTo(1.4, 9)
    expect(dry.body.check?.spreadC).toBeCloseTo(0.2, 9)
    expect(dry.body.sentence).toMatch(/^Pot, middle is 1\.4 °C too high: it says 1\.4 °C, and melting ice is 0\.0 °C\./)
    expect((await life(g, 'pot-mid')).checks).toEqual([])
    expect((await one(g, 'pot-mid')).checkedAt).toBeNull()

    const made = await checkOf(g, 'pot-mid', { reference: 'ice-point', by: 'Ada' })
    expect(made.body).toEqual(dry.body)
    expect((await life(g, 'pot-mid')).checks).toEqual([
      { ...made.body.check, by: 'Ada', at: noon, seq: expect.any(Number) },
    ])
    expect(await one(g, 'pot-mid')).toMatchObject({ checkedAt: noon, dueAt: noon + 30 * 24 * hourMs })
    // It changes nothing by itself.
    expect((await one(g, 'pot-mid')).series[0]?.trueValue).toBe(1.5)
  })

  it('against boiling water goes by the elevation, and by a barometer where the house has one that speaks', async () => {
    const g = await house({ 'pot-mid': { calibrations: [{ at: 0, points: [{ readsC: 100, isC: 99 }] }] } })
    await minuteOf(g, 'pot-mid', () => 100.9)
    const byHeight = await checkOf(g, 'pot-mid', { reference: 'boiling-point', dryRun: true })
    expect(byHeight.body.check?.isC).toBe(boilingPointAt(40)?.isC)
    // Raw in the check, as a calibration needs it; what it means in the sentence.
    expect(byHeight.body.check?.readsC).toBeCloseTo(100.9, 9)
    expect(byHeight.body.sentence).toMatch(/^Pot, middle agrees: it says 99\.9 °C, and water boils here at 99\.8 °C\./)
    await g.publish('room-air', { at: noon, pascals: 95_000 })
    const byBarometer = await checkOf(g, 'pot-mid', { reference: 'boiling-point', dryRun: true })
    expect(byBarometer.body.check?.isC).toBeCloseTo(98.2, 1)
    expect(byBarometer.body.check?.uC).toBeLessThan(byHeight.body.check?.uC ?? 0)
    // A pressure that is no air's is no barometer's.
    await g.publish('room-air', { at: noon + 1, pascals: 40 })
    const byGauge = await checkOf(g, 'pot-mid', { reference: 'boiling-point', dryRun: true })
    expect(byGauge.body.check?.isC).toBe(byHeight.body.check?.isC)
  })

  it('against another probe takes what that one means over the same time, with how sure it is', async () => {
    const points = [{ readsC: 80, isC: 81, uC: 0.5 }]
    const g = await house({
      second: { kind: 'thermocouple', station: 'pot', intervalS: 5, calibrations: [{ at: 0, points }] },
    })
    await minuteOf(g, 'pot-mid', () => 83)
    await minuteOf(g, 'second', () => 80)
    const { body } = await checkOf(g, 'pot-mid', { reference: 'probe', probe: 'second', by: 'Ada' })
    expect(body.check).toMatchObject({ reference: 'probe', probe: 'second', readsC: 83, isC: 81, uC: 0.5 })
    expect(body.sentence).toMatch(/^Pot, middle is 2 °C too high: it says 83\.0 °C, and second says 81\.0 °C\./)
    expect(body.sentence).not.toMatch(/nobody/)
    const unsure = await checkOf(g, 'second', { reference: 'probe', probe: 'pot-mid', dryRun: true })
    expect(unsure.body.sentence).toMatch(/How sure Pot, middle is itself, nobody has said\.$/)
  })

  it('that cannot be made says why and what to do, and nothing is kept', async () => {
    const g = await house({ second: { kind: 'thermocouple', station: 'pot', intervalS: 5 } })
    const says = async (body: Record<string, unknown> = { reference: 'ice-point' }, id = 'pot-mid') =>
      (await checkOf(g, id, body)).body.sentence
    expect(await says()).toBe('Pot, middle has sent no temperature yet; wait until it does.')
    await g.publish('pot-mid', { at: noon, celsius: 0 })
    expect(await says()).toMatch(/only one reading in the last 60 s|only one reading in the last 1 min/)
    await minuteOf(g, 'pot-mid', (n) => n / 10, noon + 4_000)
    await g.lead(noon + 5_000)
    expect(await says()).toMatch(/moved by 1\.7 °C in the last 1 min; wait until it stands still within 0\.5 °C\.$/)
    await g.lead(noon + minuteMs)
    expect(await says()).toBe('Pot, middle has sent no usable temperature for 56 s; wait until it does.')
    await g.lead(noon + 2 * minuteMs)
    await minuteOf(g, 'pot-mid', () => 0, noon + 2 * minuteMs)
    expect(await says({ reference: 'probe', probe: 'second' })).toMatch(/^second has sent no temperature yet/)
    expect((await life(g, 'pot-mid')).checks).toEqual([])
    expect(await one(g, 'pot-mid')).toMatchObject({ checkedAt: null })

    for (const [body, status] of [
      [{ reference: 'probe' }, 400],
      [{ reference: 'probe', probe: 'pot-mid' }, 400],
      [{ reference: 'probe', probe: 'nobody' }, 404],
      [{ reference: 'the sun' }, 400],
    ] as const)
      expect((await checkOf(g, 'pot-mid', body)).status).toBe(status)
    expect((await checkOf(g, 'nobody', { reference: 'ice-point' })).status).toBe(404)
  })

  it('of a slow instrument waits for three readings, and one of a kiln says how little it says', async () => {
    const g = await house({ 'kiln-air': { intervalS: 60 } })
    await g.publish(
      'kiln-air',
      [2, 1, 0].map((n) => ({ at: noon - n * minuteMs, celsius: 0.1 })),
    )
    const { body } = await checkOf(g, 'kiln-air', { reference: 'ice-point', dryRun: true })
    expect(body.check).toMatchObject({ readings: 3 })
    expect(body.sentence).toMatch(/says little of how Kiln air reads when the kiln is hot\.$/)
  })

  it('that the disk does not take was not made', async () => {
    const store = refusingStore(memoryStore())
    const g = await startGateway({ at: noon, store, foundry: smallFoundry() })
    await minuteOf(g, 'pot-mid', () => 0)
    store.full = true
    const refused = await checkOf(g, 'pot-mid', { reference: 'ice-point' })
    expect(refused).toMatchObject({ status: 503, body: { code: 'not-on-disk' } })
    const points = [{ readsC: 0, isC: 1 }]
    const calibrated = await g.ask<Problem>('/api/v1/instruments/pot-mid/calibrations', { points })
    expect(calibrated).toMatchObject({ status: 503, body: { code: 'not-on-disk' } })
    store.full = false
    expect((await one(g, 'pot-mid')).checkedAt).toBeNull()
  })

  it('that is due is said the day after, and over once it is made; both survive a restart', async () => {
    const store = memoryStore()
    const lasting = { ...methodsOf(store), close: async () => {} }
    const foundry = foundryWith({ 'pot-mid': { checkEveryDays: 1, silenceS: 86_400 } })
    const g = await startGateway({ at: noon, store: lasting, foundry })
    await g.lead(noon + 24 * hourMs + minuteMs)
    const kinds = () => g.gateway.rooms.foreman.alarms().filter((a) => a.kind === 'check-due')
    expect(kinds()).toMatchObject([{ state: 'unacknowledged', subject: 'pot-mid', answer: { tier: 'tomorrow' } }])
    await minuteOf(g, 'pot-mid', () => 0, g.clock.now())
    await checkOf(g, 'pot-mid', { reference: 'ice-point', by: 'Ada' })
    expect(kinds()).toMatchObject([{ state: 'returned-unacknowledged' }])
    const before = await life(g, 'pot-mid')
    const at = g.clock.now()
    await g.close()
    const again = await startGateway({ at: at + 1_000, store: lasting })
    expect((await life(again, 'pot-mid')).checks).toEqual(before.checks)
    expect(again.gateway.rooms.foreman.alarms().filter((a) => a.kind === 'check-due')).toMatchObject([
      { state: 'returned-unacknowledged' },
    ])
    expect((await one(again, 'pot-mid')).dueAt).toBe(at + 24 * hourMs)
  })
})

/** Its promises without its class, so that one may be kept open. */
function methodsOf(store: ReturnType<typeof memoryStore>) {
  return {
    append: store.append.bind(store),
    head: store.head.bind(store),
    journal: store.journal.bind(store),
    newest: store.newest.bind(store),
    count: store.count.bind(store),
    scan: store.scan.bind(store),
    chart: store.chart.bind(store),
    sums: store.sums.bind(store),
    seal: store.seal.bind(store),
    retire: store.retire.bind(store),
    stock: store.stock.bind(store),
    summaries: store.summaries.bind(store),
    readingsOf: store.readingsOf.bind(store),
    keep: store.keep.bind(store),
    findings: store.findings.bind(store),
    snapshot: store.snapshot.bind(store),
    damage: store.damage.bind(store),
  }
}
