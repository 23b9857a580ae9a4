/** What the store says no to: a file it cannot safely open, and an entry that would not come back as it was handed in. */

/** The store could not be opened and nothing was changed. The message is one sentence for the person who started the gateway. */
export class StoreRefusal extends Error {
  override readonly name = 'StoreRefusal'
}

/** An entry holds a number that cannot be stored exactly. Trying again is of no use; none of its batch was kept. */
export class NotStorable extends Error {
  override readonly name = 'NotStorable'
}

/** What every call after `close` rejects with. */
export class StoreClosed extends Error {
  override readonly name = 'StoreClosed'

  constructor() {
    super('The store is closed.')
  }
}
