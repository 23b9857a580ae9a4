/** Lets the event loop breathe between two pieces of long work: the one place where this room touches a timer. */

/** Gives way for one turn of the event loop. */
export type Breathe = () => Promise<void>

export const breathe: Breathe = () => new Promise((resolve) => setImmediate(resolve))
