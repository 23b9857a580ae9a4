/** Leads whole burnouts through the judge and asks it, at set leads before the truth, when the load will be ready. */
import { type BurnoutView, type Entry, Foundry, type NewEntry } from '../../../shared/contract/index.ts'
import { emptyHouse, type House, judge } from '../../../shared/judge/index.ts'
import type { BurnoutScene, KilnStory } from '../../held-out/burnouts/scene.ts'

export const leadsMs = [8, 3, 1].map((h) => h * 3_600_000)

export interface AskedReady {
  kiln: string
  kind: 'shell' | 'solid'
  wet: boolean
  leadMs: number
  trueMs: number
  ours: { ms: number; lowMs: number; highMs: number } | null
  why: string
  /** By the recipe's clock and how late the last five were. */
  clockMs: number
  happened: boolean
}

/** As long as its ramps and holds say. */
export function clockOf({ recipe }: BurnoutScene): number {
  let [at, ms] = [recipe.startC, 0]
  for (const s of recipe.segments) {
    ms += s.kind === 'hold' ? s.minutes * 60_000 : (Math.abs(s.toC - at) / s.cPerHour) * 3_600_000
    if (s.kind === 'ramp') at = s.toC
  }
  return ms
}

const median = (values: readonly number[]) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0

function foundryOf(story: KilnStory, upTo: number): Foundry {
  return Foundry.parse({
    site: { name: 'Invented', timeZone: 'UTC', elevationM: 0, invented: true },
    stations: [{ id: 'K', name: 'Kiln', kind: 'kiln' }],
    instruments: ['air', 'load'].map((place) => ({
      id: place,
      name: place,
      kind: 'thermocouple',
      station: 'K',
      place: `kiln-${place}`,
      intervalS: story.intervalS,
    })),
    recipes: story.scenes.slice(0, upTo + 1).map((s) => s.recipe),
  })
}

export function askedOf(story: KilnStory): { asked: AskedReady[]; entries: number } {
  let house: House = emptyHouse()
  let seq = 0
  const tell = (entry: NewEntry) => {
    house = judge(house, { ...entry, seq: ++seq } as Entry)[0]
  }
  const asked: AskedReady[] = []
  const lateness: number[] = []
  story.scenes.forEach((scene, nth) => {
    const { startedAt, truth, recipe } = scene
    tell({ kind: 'foundry', at: startedAt, revision: nth + 1, foundry: foundryOf(story, nth) })
    const declaration = {
      kind: 'burnout' as const,
      station: 'K',
      recipe: recipe.id,
      revision: recipe.revision,
      startedAt,
    }
    tell({ kind: 'act', act: 'run-start', at: startedAt, by: 'Bo', run: scene.id, declaration })
    let next = 0
    const clockAt = startedAt + clockOf(scene) + median(lateness.slice(-5))
    for (const sample of scene.samples) {
      for (const [quantity, value] of [
        ['air', sample.airC],
        ['load', sample.loadC],
      ] as const)
        if (value !== null)
          tell({
            kind: 'reading',
            at: sample.t,
            series: `${quantity}.temperature`,
            measuredAt: sample.t,
            value,
            quality: 'good',
          })
      const lead = leadsMs[next]
      if (lead === undefined || sample.t < truth.readyAt - lead) continue
      next++
      if (nth < story.learning || truth.readyAt - lead < startedAt + 1_800_000) continue
      const view = house.stations[0]?.runs[0]?.run.progress as BurnoutView
      const { ready } = view
      asked.push({
        kiln: story.id,
        kind: recipe.load?.kind ?? 'solid',
        wet: truth.wet,
        leadMs: lead,
        trueMs: truth.readyAt - sample.t,
        ours:
          ready.is === 'expected'
            ? { ms: ready.at - sample.t, lowMs: ready.earliest - sample.t, highMs: ready.latest - sample.t }
            : ready.is === 'ready'
              ? { ms: ready.since - sample.t, lowMs: ready.since - sample.t, highMs: ready.since - sample.t }
              : null,
        why: ready.is === 'cannot-tell' ? ready.why : ready.is,
        clockMs: clockAt - sample.t,
        happened: truth.happenings.some((h) => h.at > sample.t && h.at < truth.readyAt),
      })
    }
    lateness.push(truth.readyAt - startedAt - clockOf(scene))
    tell({ kind: 'act', act: 'run-close', at: scene.endedAt, by: 'Bo', run: scene.id, reason: 'done' })
  })
  return { asked, entries: seq }
}
