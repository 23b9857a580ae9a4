/** What random instruments are calibrated by and look at. */
import fc from 'fast-check'
import { noon } from './tale.ts'

const minute = 60_000
const day = 86_400_000

/** Calibrations that begin before the day drawn, within it, or both; what they say differs enough to cross a limit. */
export const calibrations = fc.constantFrom(
  [{ at: noon - 2 * day, points: [{ readsC: 90, isC: 91 }] }],
  [
    { at: noon - 400 * day, points: [{ readsC: 0, isC: 1 }] },
    {
      at: noon + 10 * minute,
      points: [
        { readsC: 80, isC: 79 },
        { readsC: 100, isC: 103 },
      ],
    },
  ],
)
/** Seen through this, what lies below some 97 °C has no answer: what is mirrored would outshine it. */
export const infrared = fc.constantFrom({ emissivity: 0.92, emissivityU: 0.02 }, { emissivity: 0.6, reflectedC: 190 })
