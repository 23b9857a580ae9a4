/** The draft in which one entry's consequences are gathered: findings announced or ended, alarms moved, stations touched. */
import type { Alarm, Finding, FindingFacts, FindingKind, FindingOf } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { answerOf } from './answers.ts'
import { raised, returned } from './alarms.ts'
import type { StationRules } from './rules.ts'
import type { Changes, House } from './state.ts'

/** Where a finding is announced, and by which entry. */
export interface Scene {
  rules: StationRules
  seq: number
  at: EpochMs
  /** The whole house as it was before, to be read: what another station knows. */
  house: House
}

export interface Draft extends Changes {
  standing: readonly Alarm[]
}

const none: readonly never[] = []
const nowhere: ReadonlySet<string> = new Set()

/** Most entries change nothing: then these empty lists are all that is handed back. */
export const nothing: Changes = { findings: none, alarms: none, stations: nowhere }

export function draftOn(standing: readonly Alarm[]): Draft {
  return { findings: none, alarms: none, stations: nowhere, standing }
}

/** Listeners of this station must be told. */
export function touch(draft: Draft, station: string): void {
  if (!draft.stations.has(station)) draft.stations = new Set([...draft.stations, station])
}

function tell(draft: Draft, finding: Finding, step: [readonly Alarm[], Alarm | null]): void {
  draft.findings = [...draft.findings, finding]
  touch(draft, finding.station)
  draft.standing = step[0]
  if (step[1]) draft.alarms = [...draft.alarms, step[1]]
}

export interface Raise<K extends FindingKind> {
  kind: K
  subject: string
  instrument?: string
  since: EpochMs
  facts: FindingFacts[K]
  /** What the house asks for this limit, where it says so. */
  answer?: Parameters<typeof answerOf>[2]
}

/** Announces a finding; it becomes an alarm where somebody must act on it. */
export function raise<K extends FindingKind>(draft: Draft, scene: Scene, what: Raise<K>): Finding {
  const { station } = scene.rules
  const answer = answerOf(what.kind, station.kind, what.answer)
  const finding: FindingOf<K> = {
    id: `${station.id}~${what.kind}~${what.subject}~${scene.seq}`,
    kind: what.kind,
    subject: what.subject,
    station: station.id,
    since: what.since,
    raisedAt: scene.at,
    raisedSeq: scene.seq,
    facts: what.facts,
  }
  if (what.instrument !== undefined) finding.instrument = what.instrument
  if (answer !== null) finding.tier = answer.tier
  const told = finding as Finding
  tell(draft, told, answer === null ? [draft.standing, null] : raised(draft.standing, told, answer))
  return told
}

/** Ends a finding. */
export function clear(draft: Draft, scene: Scene, finding: Finding, clearedAt: EpochMs): void {
  const ended: Finding = { ...finding, clearedAt: Math.max(clearedAt, finding.since) }
  const step: [readonly Alarm[], Alarm | null] = finding.tier
    ? returned(draft.standing, ended, scene.at)
    : [draft.standing, null]
  tell(draft, ended, step)
}

/** Announces what happened at one moment and is over with it. */
export function note<K extends FindingKind>(draft: Draft, scene: Scene, what: Raise<K>): void {
  const finding = raise(draft, scene, what)
  clear(draft, scene, finding, what.since)
  draft.findings = draft.findings.filter((f) => f !== finding)
}
