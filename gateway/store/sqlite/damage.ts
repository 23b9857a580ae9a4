/** What was found to be damaged while the gateway had to go on all the same: told to people, and never a reason to stop watching. */
import { BlockDamaged } from '../sealed/damage.ts'

export class Damage {
  /** The sentence of the first damage met; null while all was sound. */
  first: string | null = null

  /** What `work` gives, or this where it meets damage. */
  or<T>(instead: T, work: () => T): T {
    try {
      return work()
    } catch (error) {
      if (!(error instanceof BlockDamaged)) throw error
      this.first ??= error.message
      return instead
    }
  }
}
