/** Why an instrument's value means no temperature: then it is as unseen as a bad one. Its words are made elsewhere. */

export const noAnswers = [
  /** Infrared: what it looks at is more mirror than source: bright metal. */
  'emissivity-too-low',
  /** Infrared: what is mirrored alone would give more than was seen. */
  'background-outshines',
  /** Infrared: it means a temperature at which nothing here can be. */
  'out-of-range',
  /** Infrared: it sees more than its target. */
  'spot-too-large',
] as const
export type NoAnswer = (typeof noAnswers)[number]
