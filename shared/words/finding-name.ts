/** Kinds of findings as a few words, for a list. */
import type { FindingKind } from '../contract/index.ts'

const findingNames: Record<FindingKind, string> = {
  'above-ceiling': 'above its ceiling',
  'outside-window': 'outside its limits',
  'rising-too-fast': 'rising too fast',
  'gone-quiet': 'an instrument gone quiet',
  'instrument-fault': 'an instrument unable to measure',
  'clock-wrong': 'a wrong clock',
  'conflicting-reading': 'two values for one instant',
  'off-recipe': 'off its recipe',
  'outside-recipe-band': 'outside the band of its recipe',
  'coat-outside-window': 'a coat outside its window',
  'coat-off-wait': 'a coat too soon or too late',
  'nearing-ceiling': 'nearing its ceiling',
  'no-cut-off': 'a heater that did not cut off',
  'left-on': 'left on',
  'wax-old': 'old wax',
  'soak-paused': 'a soak that was not counted',
  'leaves-early': 'a hold left too soon',
  'heat-lost': 'without heat',
  'band-too-fast': 'too fast through a band',
  'hand-due': 'a step for somebody',
  'burnout-found': 'a burnout nobody said',
  'instrument-doubt': 'an instrument in doubt',
  'check-due': 'a check that is due',
}

/** A kind of finding as a few words, for a list. */
export const findingName = (kind: FindingKind): string => findingNames[kind]
