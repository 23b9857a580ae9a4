/** The foundry document: valid as a whole or not at all, and never changed behind anybody's back. */
import { describe, expect, it } from 'vitest'
import type { Foundry, Problem } from '../../shared/contract/index.ts'
import { smallFoundry, startGateway, type TestGateway } from '../helpers/gateway.ts'

async function put(gateway: TestGateway, document: unknown, ifMatch?: string) {
  const response = await fetch(`${gateway.http}/api/v1/foundry`, {
    method: 'PUT',
    body: typeof document === 'string' ? document : JSON.stringify(document),
    headers: { 'content-type': 'application/json', ...(ifMatch === undefined ? {} : { 'if-match': ifMatch }) },
  })
  return {
    status: response.status,
    etag: response.headers.get('etag'),
    body: (await response.json()) as Foundry & Problem,
  }
}

async function now(gateway: TestGateway) {
  const response = await fetch(`${gateway.http}/api/v1/foundry`)
  return { etag: response.headers.get('etag'), foundry: (await response.json()) as Foundry }
}

function spoilt(): Foundry {
  const foundry = smallFoundry()
  const document = foundry as unknown as Record<string, never[]> & {
    stations: { limits: unknown[]; leading: string }[]
    site: Record<string, unknown>
  }
  document.site['timeZone'] = 'Middle/Earth'
  ;(document.stations[0] as { limits: unknown[] }).limits[0] = { kind: 'ceiling', aboveC: 'hot' }
  ;(document.stations[1] as { leading: string }).leading = 'nobody'
  ;(foundry.instruments[1] as { station: string }).station = 'nowhere'
  return foundry
}

describe('a foundry document with faults', () => {
  it('changes nothing, and every fault, of shape and of names, is told with its path in one sentence', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const before = await now(gateway)
    const { status, body } = await put(gateway, spoilt())
    expect(status).toBe(422)
    expect(body.code).toBe('not-valid')
    expect(body.errors?.map((e) => e.path)).toEqual([
      'site.timeZone',
      'stations[0].limits[0].aboveC',
      'instruments[1].station',
      'stations[1].leading',
    ])
    for (const { path, sentence } of body.errors ?? [])
      expect(sentence).toMatch(new RegExp(`^${path.replace(/[[\]]/g, '\\$&')} .+\\.$`))
    expect(await now(gateway)).toEqual(before)
  })

  it('is told every name that leads nowhere', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const document = smallFoundry()
    ;(document.stations[1] as { leading: string }).leading = 'nobody'
    ;(document.instruments[1] as { station: string }).station = 'nowhere'
    document.instruments.push({ ...(document.instruments[0] as Foundry['instruments'][0]) })
    const { status, body } = await put(gateway, document)
    expect(status).toBe(422)
    expect(body.errors?.map((e) => e.path).sort()).toEqual([
      'instruments[1].station',
      'instruments[4].id',
      'stations[1].leading',
    ])
  })

  it('that is no JSON, no object, or too large is refused in one sentence each', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const before = await now(gateway)
    for (const [text, status] of [
      ['{', 400],
      ['[]', 422],
      ['null', 422],
      ['7', 422],
      [`"${'x'.repeat(2 * 1024 * 1024)}"`, 413],
    ] as const) {
      const said = await put(gateway, text)
      expect([text.slice(0, 5), said.status]).toEqual([text.slice(0, 5), status])
      expect(said.body.title).toMatch(/\.$/)
    }
    expect(await now(gateway)).toEqual(before)
  })
})

describe('two people who set up the foundry at once', () => {
  it('cannot overwrite each other: the second is told to read again', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const { etag } = await now(gateway)
    const first = await put(gateway, { ...smallFoundry(), recipes: [] }, etag ?? '')
    expect(first.status).toBe(200)
    expect(first.etag).not.toBe(etag)
    const second = await put(gateway, smallFoundry(), etag ?? '')
    expect(second).toMatchObject({ status: 412, body: { code: 'other-revision' } })
    expect((await now(gateway)).foundry.recipes).toEqual([])
  })

  it('at the very same moment: one is taken, the other told', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const { etag } = await now(gateway)
    const both = await Promise.all([put(gateway, smallFoundry(), etag ?? ''), put(gateway, smallFoundry(), etag ?? '')])
    expect(both.map((b) => b.status).sort()).toEqual([200, 412])
  })

  it('an If-Match that is no revision is refused', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    expect((await put(gateway, smallFoundry(), '"last tuesday"')).status).toBe(400)
  })
})

describe('a recipe revision that a run has used', () => {
  it('never changes and never goes; a new one stands beside it', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const { ask } = gateway
    expect((await ask('/api/v1/runs', { kind: 'coating', station: 'pot', recipe: 'figure', by: 'Ada' })).status).toBe(
      201,
    )
    const changed = smallFoundry()
    const wax = changed.recipes[0] as Extract<Foundry['recipes'][0], { kind: 'wax' }>
    ;(wax.coats[0] as (typeof wax.coats)[0]).window.toC = 111
    expect(await put(gateway, changed)).toMatchObject({ status: 409, body: { code: 'used-revision' } })
    expect(await put(gateway, { ...smallFoundry(), recipes: [] })).toMatchObject({
      status: 409,
      body: { code: 'used-revision' },
    })
    const beside = { ...smallFoundry(), recipes: [...smallFoundry().recipes, { ...wax, revision: 2 }] }
    expect((await put(gateway, beside)).status).toBe(200)
    const { body } = await ask<{ items: { id: string; revision: number; used: boolean }[] }>('/api/v1/recipes')
    const figure = body.items.filter((r) => r.id === 'figure')
    expect(figure.map((r) => [r.revision, r.used])).toEqual([
      [2, false],
      [1, true],
    ])
  })

  it('a station where a run is open cannot be taken out', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    await gateway.ask('/api/v1/runs', { kind: 'drying', station: 'room', recipe: 'backup', by: 'Ada' })
    const gone = smallFoundry()
    gone.stations = gone.stations.filter((s) => s.id !== 'room')
    gone.instruments = gone.instruments.filter((i) => i.station !== 'room')
    const said = await put(gateway, gone)
    expect(said.status).toBe(422)
    expect(said.body.detail).toContain('"room"')
  })
})
