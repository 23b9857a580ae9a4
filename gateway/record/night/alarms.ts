/** The alarms of a night, each once, with everybody who saw it; and what fell silent together. */
import type {
  EntryOf,
  Finding,
  NightAlarm,
  NightExcursion,
  NightLine,
  NightOutage,
  SeenBy,
} from '../../../shared/contract/index.ts'
import { type EpochMs, minuteMs } from '../../../shared/time.ts'
import type { NightMaterial } from './material.ts'

type Acknowledged = EntryOf<'act'> & { act: 'acknowledge' }

const sameAlarm = (a: Pick<Finding, 'kind' | 'station' | 'subject'>, b: typeof a) =>
  a.kind === b.kind && a.station === b.station && a.subject === b.subject

/** Who acknowledged one of these findings' alarm while it stood or after. */
function seenBy(group: readonly Finding[], material: NightMaterial): SeenBy[] {
  const [first] = group
  if (!first) return []
  const acts = material.acts.filter((a): a is Acknowledged => a.act === 'acknowledge')
  return acts
    .filter((a) => {
      const raised = material.findings.find((f) => f.id === a.alarm)
      return raised !== undefined && sameAlarm(raised, first) && a.at >= first.since
    })
    .map(({ by, at }) => ({ by, at }))
    .sort((a, b) => a.at - b.at)
}

export function alarmsOf(material: NightMaterial, from: EpochMs, upTo: EpochMs): NightAlarm[] {
  const groups: Finding[][] = []
  for (const finding of [...material.findings].sort((a, b) => a.since - b.since)) {
    if (finding.tier === undefined || finding.since >= upTo || (finding.clearedAt ?? Infinity) <= from) continue
    const group = groups.find((g) => sameAlarm(g[0] as Finding, finding))
    if (group) group.push(finding)
    else groups.push([finding])
  }
  return groups.map((group) => {
    const [first, last] = [group[0] as Finding, group.at(-1) as Finding]
    return {
      id: first.id,
      kind: first.kind,
      station: first.station,
      subject: first.subject,
      tier: first.tier ?? 'tomorrow',
      since: first.since,
      until: last.clearedAt ?? null,
      times: group.length,
      seenBy: seenBy(group, material),
    }
  })
}

/** The quantity a finding is about; null where it is about none. */
function quantityOf(finding: Finding): string | null {
  return finding.kind === 'outside-window' || finding.kind === 'outside-recipe-band' ? finding.facts.quantity : null
}

/** Each excursion with those who acknowledged an alarm of the same quantity while it lasted, or in the half hour after. */
export function withSeenBy(line: NightLine, station: string, material: NightMaterial): NightExcursion[] {
  return line.excursions.map((excursion) => {
    const findings = material.findings.filter(
      (f) =>
        f.station === station &&
        quantityOf(f) === line.quantity &&
        f.since <= excursion.to + 10 * minuteMs &&
        (f.clearedAt ?? Infinity) >= excursion.from,
    )
    const all = findings.flatMap((f) => seenBy([f], material)).filter((s) => s.at <= excursion.to + 30 * minuteMs)
    const once = all.filter((s, i) => all.findIndex((o) => o.at === s.at && o.by === s.by) === i)
    return { ...excursion, seenBy: once }
  })
}

const togetherMs = 2 * minuteMs

/** Our own absences within the night. */
export function absencesOf(material: NightMaterial, from: EpochMs, upTo: EpochMs): { from: EpochMs; to: EpochMs }[] {
  return material.starts.flatMap(({ downSince, at }) =>
    downSince !== null && at > from && downSince < upTo
      ? [{ from: Math.max(from, downSince), to: Math.min(at, upTo) }]
      : [],
  )
}

/** Silences that began together. `coverageOf`: how much of a span was seen of an instrument in the end. */
export function outagesOf(
  material: NightMaterial,
  from: EpochMs,
  upTo: EpochMs,
  isFilled: (instrument: string, from: EpochMs, to: EpochMs) => boolean,
): NightOutage[] {
  const quiet = material.findings
    .filter((f) => f.kind === 'gone-quiet')
    .map((f) => ({
      instrument: f.instrument ?? f.subject,
      from: f.facts.lastAt ?? f.since,
      to: f.clearedAt ?? upTo,
    }))
    .filter((q) => q.to > from && q.from < upTo && q.from >= from - 12 * 60 * minuteMs)
    .sort((a, b) => a.from - b.from)
  const outages: NightOutage[] = absencesOf(material, from, upTo).map((a) => ({
    ...a,
    isGateway: true,
    instruments: [],
  }))
  for (const one of quiet) {
    const group = outages.find((o) => !o.isGateway && Math.abs(o.from - one.from) <= togetherMs)
    const told = { instrument: one.instrument, isBackfilled: isFilled(one.instrument, one.from, one.to) }
    if (!group) outages.push({ from: one.from, to: one.to, isGateway: false, instruments: [told] })
    else {
      group.to = Math.max(group.to, one.to)
      if (!group.instruments.some((i) => i.instrument === one.instrument)) group.instruments.push(told)
    }
  }
  return outages.sort((a, b) => a.from - b.from)
}
