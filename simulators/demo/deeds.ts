/** Does at the gateway, over HTTP, what the people of the story do. */
import type { Alarm, Foundry, Run } from '../../shared/contract/index.ts'
import type { Deed } from '../scenes/scene.ts'

export interface Hands {
  putFoundry(foundry: Foundry): Promise<void>
  /** Does one deed; resolves with a line to tell, or null where there was nothing to do. */
  act(deed: Deed): Promise<string | null>
}

export function hands(http: string, token: string | undefined): Hands {
  /** The open run of each station, as far as it was begun here. */
  const open = new Map<string, string>()

  const ask = async (method: string, path: string, body?: unknown): Promise<unknown> => {
    const answer = await fetch(`${http.replace(/\/$/, '')}/api/v1${path}`, {
      method,
      headers: {
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
        ...(token === undefined ? {} : { authorization: `Bearer ${token}` }),
      },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    })
    const text = await answer.text()
    if (!answer.ok) throw new Error(`${method} ${path} was answered ${answer.status}: ${text.slice(0, 300)}`)
    return text === '' ? null : JSON.parse(text)
  }

  const acknowledge = async (by: string, tiers: readonly string[]): Promise<string | null> => {
    const answer = await ask('GET', '/alarms')
    const { items: alarms } = answer as { items: Alarm[] }
    const due = alarms.filter((a) => a.state === 'unacknowledged' && tiers.includes(a.answer.tier))
    for (const alarm of due) await ask('POST', `/alarms/${encodeURIComponent(alarm.id)}/acknowledge`, { by })
    return due.length === 0 ? null : `${by}, sees to ${due.map((a) => `${a.station} ${a.kind}`).join(', ')}`
  }

  return {
    putFoundry: async (foundry) => void (await ask('PUT', '/foundry', foundry)),
    act: async (deed) => {
      if (deed.deed === 'acknowledge') return acknowledge(deed.by, deed.tiers)
      if (deed.deed === 'start-run') {
        const run = (await ask('POST', '/runs', { ...deed.declaration, by: deed.by })) as Run
        open.set(deed.declaration.station, run.id)
        return `${deed.by}, begins ${deed.declaration.recipe} on ${deed.declaration.station}: ${deed.declaration.piece ?? ''}`
      }
      const run = open.get(deed.station)
      if (run === undefined) return null
      const path = `/runs/${encodeURIComponent(run)}`
      if (deed.deed === 'coat') {
        await ask('POST', `${path}/steps`, { step: 'coat', coat: deed.coat, by: deed.by })
        return `${deed.by}, puts on ${deed.coat} at ${deed.station}`
      }
      if (deed.deed === 'hand') {
        await ask('POST', `${path}/steps`, { step: 'hand', hand: deed.hand, by: deed.by })
        return `${deed.by}, says that ${deed.hand} is done at ${deed.station}`
      }
      if (deed.deed === 'weigh') {
        await ask('POST', `${path}/steps`, { step: 'weigh', grams: deed.grams, probe: deed.probe, by: deed.by })
        return `${deed.by}, weighs ${deed.probe}: ${deed.grams} g`
      }
      open.delete(deed.station)
      await ask('POST', `${path}/close`, { reason: deed.reason, by: deed.by })
      return `${deed.by}, closes the run on ${deed.station}: ${deed.reason}`
    },
  }
}
