/** An emissivity by comparison: what an infrared instrument showed, held against a contact probe at the same instants. */
import { type EmissivityTried, InfraredSetting, type Instrument, silenceMsOf } from '../../shared/contract/index.ts'
import { interpretationOf, reflectedUsualC, surenessOf } from '../../shared/judge/index.ts'
import { type ComparedPair, emissivityByComparison } from '../../shared/physics/emissivity.ts'
import { interpreted } from '../../shared/physics/interpretation.ts'
import { type EpochMs, minuteMs } from '../../shared/time.ts'
import { comparisonRefusalSays, emissivitySays, type Speech } from '../../shared/words/index.ts'
import type { Store } from '../store/store.ts'
import { type Sent, sentBetween } from './stillness.ts'

/** How well one pair repeats, °C. Ours: a hand that aims, wax that moves a little. */
const repeatUC = 0.3
/** How well the surroundings are known, °C. Ours. */
const reflectedUC = 2
/** A probe of which nobody said how sure it is, °C. Ours: half of what a new base-metal one of the usual class is allowed. */
const contactUnknownUC = 1
/** Emissivities are told to a hundredth; a thousandth more is kept. */
const kept = (value: number) => Math.round(value * 1_000) / 1_000

/** The infrared instrument calibrated, but not corrected: what it shows. */
function indications(infrared: Instrument, sent: readonly Sent[]): { t: EpochMs; v: number }[] {
  const interpretation = interpretationOf(infrared, 'temperature')
  return sent.map(({ t, rawC }) => {
    const shown = interpretation === null ? rawC : interpreted({ ...interpretation, infrared: null }, rawC, t)
    return { t, v: shown as number }
  })
}

function meantOf(contact: Instrument, sent: readonly Sent[]): { t: EpochMs; v: number }[] {
  const interpretation = interpretationOf(contact, 'temperature')
  return sent.flatMap(({ t, rawC }) => {
    const v = interpretation === null ? rawC : interpreted(interpretation, rawC, t)
    return typeof v === 'number' ? [{ t, v }] : []
  })
}

/** Each indication with the probe's value at its instant, on the straight line between its neighbours; none across a hole. */
export function pairsOf(
  shown: readonly { t: EpochMs; v: number }[],
  probe: readonly { t: EpochMs; v: number }[],
  silenceMs: number,
): ComparedPair[] {
  const pairs: ComparedPair[] = []
  let after = 0
  for (const { t, v } of shown) {
    while (after < probe.length && (probe[after] as { t: EpochMs }).t < t) after++
    const [before, next] = [probe[after - 1], probe[after]]
    if (next?.t === t) pairs.push({ indicatedC: v, contactC: next.v })
    else if (before && next && next.t - before.t <= silenceMs)
      pairs.push({ indicatedC: v, contactC: before.v + ((t - before.t) / (next.t - before.t)) * (next.v - before.v) })
  }
  return pairs
}

/** What the last minutes say; `setting` is what would be set, null where nothing follows. */
export async function compareEmissivity(
  store: Store,
  infrared: Instrument,
  contact: Instrument,
  now: EpochMs,
  minutes: number,
  speech: Speech,
): Promise<{ tried: EmissivityTried; setting: Pick<InfraredSetting, 'emissivity' | 'emissivityU'> | null }> {
  const [from, to] = [now - minutes * minuteMs, now + 1]
  const silenceMs = silenceMsOf(contact)
  const touched = await sentBetween(store, contact, from - silenceMs, to)
  const shown = indications(infrared, await sentBetween(store, infrared, from, to))
  const pairs = pairsOf(shown, meantOf(contact, touched), silenceMs)
  const setting = InfraredSetting.parse(infrared.infrared ?? {})
  const reflectedC = setting.reflectedC ?? reflectedUsualC
  const last = touched.at(-1)
  const sure = surenessOf(contact, last ? { rawC: last.rawC, measuredAt: last.t, junctionC: null } : null)
  const found = emissivityByComparison(pairs, {
    setEmissivity: setting.setEmissivity,
    compensatedC: setting.compensatedC ?? null,
    reflectedC,
    repeatUC,
    contactUC: sure.expandedC === null ? contactUnknownUC : sure.expandedC / 2,
    reflectedUC,
  })
  if (typeof found === 'string')
    return { tried: { emissivity: null, sentence: comparisonRefusalSays(found) }, setting: null }
  const { emissivity, u } = found
  return {
    tried: { emissivity, u, pairs: found.pairs, sentence: emissivitySays(found, reflectedC, speech) },
    setting: { emissivity: kept(emissivity), emissivityU: Math.min(0.5, kept(u)) },
  }
}
